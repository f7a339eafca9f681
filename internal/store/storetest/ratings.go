package storetest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// Rate takes the first answers of a turn and tells whether it was the first time: all
// calls for one turn are one submission.
func Rate(ctx context.Context, s panel.Store, assessorID panel.AssessorID, id panel.TurnID, answers []panel.Answer,
	at time.Time) (bool, error) {
	sub := panel.Submitted{ID: "first of " + string(id), AssessorID: assessorID, TurnID: id, Answers: answers, At: at}
	outcome, err := s.Submit(ctx, sub, asRecorded)
	return outcome == panel.Recorded, err
}

// rate answers one turn of an assessor and tells whether it was the first time.
func (c *check) rate(a panel.Assessor, order int, n float64) bool {
	c.Helper()
	return got[bool](c)(Rate(c.ctx, c.store, a.ID, turnID(someStudy, a.Place, order),
		answers(turnID(someStudy, a.Place, order), n), noon))
}

// rated is what KeyedAnswers should give for answers(…, n) to a turn of one serving:
// attributes by their bytes.
func rated(turns []panel.Turn, place, order int, n float64, at time.Time) []panel.KeyedAnswer {
	var all []panel.KeyedAnswer
	for _, turn := range turns {
		if turn.Place != place || turn.Order != order {
			continue
		}
		given := answers(turn.ID, n)
		slices.SortFunc(given, func(a, b panel.Answer) int {
			return slices.Compare([]byte(a.Attribute), []byte(b.Attribute))
		})
		v := turn.Servings[0]
		for _, a := range given {
			all = append(all, panel.KeyedAnswer{Place: place, Turn: order + 1, Role: v.Role, Position: v.Position,
				Sitting: turn.Sitting, Code: v.Code, Sample: v.Sample, Attribute: a.Attribute, Value: a.Value, At: at,
				NotSetDown: true})
		}
	}
	return all
}

var ratingTests = []namedTest{
	{"ratings come back by place, order and attribute", func(c *check) {
		c.opened(2, 2)
		first, other := c.seat(1), c.seat(2)
		servings := plan(someStudy, 1, 0, 2, 2)
		c.rate(other, 1, 3)
		c.rate(first, 2, 2)
		c.rate(first, 1, 1)
		want := slices.Concat(rated(servings, 0, 1, 1, noon), rated(servings, 0, 2, 2, noon),
			rated(servings, 1, 1, 3, noon))
		back := got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy))
		same(c, "ratings", back, want)
		same(c, "attributes", []study.AttributeID{back[0].Attribute, back[1].Attribute, back[2].Attribute},
			[]study.AttributeID{"Zitrone", "salty", "ärger"})
		c.isUTC("At", back[0].At)
		same(c, "when answered", got[map[panel.TurnID]time.Time](c)(c.store.AnsweredBy(c.ctx, first.ID)),
			map[panel.TurnID]time.Time{turnID(someStudy, 0, 1): noon, turnID(someStudy, 0, 2): noon})
	}},
	{"a serving is rated once", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		same(c, "first time", c.rate(a, 1, 1), true)
		same(c, "second time", c.rate(a, 1, 2), false)
		other := []panel.Answer{{ServingID: servingID(someStudy, 0, 1), Attribute: "sweet", Value: 5}}
		same(c, "another attribute", got[bool](c)(Rate(c.ctx, c.store, a.ID, turnID(someStudy, 0, 1), other,
			noon.Add(time.Hour))), false)
		same(c, "ratings", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)),
			rated(plan(someStudy, 1, 0, 1, 2), 0, 1, 1, noon))
		same(c, "assessor", got[panel.Assessor](c)(c.store.AssessorByToken(c.ctx, token(1))), a)
	}},
	{"values and times are exact", testExactValues},
	{"the last serving finishes the ballot", func(c *check) {
		c.opened(1, 2)
		want := c.seat(1)
		c.rate(want, 0, 1)
		c.rate(want, 2, 1) // servings may arrive out of order
		same(c, "before", got[panel.Assessor](c)(c.store.AssessorByToken(c.ctx, token(1))), want)
		c.rate(want, 1, 1)
		want.FinishedAt = noon
		same(c, "after", got[panel.Assessor](c)(c.store.AssessorByToken(c.ctx, token(1))), want)
		c.isUTC("FinishedAt", got[panel.Assessor](c)(c.store.AssessorByToken(c.ctx, token(1))).FinishedAt)
	}},
	{"only one's own servings", testOwnServings},
	{"answers after close are kept aside", testAfterClose},
	{"guests are forgotten, and their answers are not", testForgetGuests},
	{"nothing is rated after close", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		c.rate(a, 1, 1)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		same(c, "a submission that was taken before", c.rate(a, 1, 1), false)
		for _, order := range []int{0, 2} {
			same(c, fmt.Sprintf("serving %d is rated", order), c.rate(a, order, 2), false)
		}
		same(c, "ratings", len(got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy))), 3)
	}},
	{"answers that are none", testBadAnswers},
	{"a double tap", testDoubleTap},
	{"closing while phones rate", testCloseWhileRating},
	{"a cancelled call records nothing", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		ctx, cancel := context.WithCancel(c.ctx)
		cancel()
		_, err := Rate(ctx, c.store, a.ID, turnID(someStudy, 0, 1), answers(turnID(someStudy, 0, 1), 1), noon)
		c.wantError("rate", err, context.Canceled)
		same(c, "ratings", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)), nil)
	}},
}

// testExactValues checks that no digit and no microsecond is lost.
func testExactValues(c *check) {
	c.opened(1, 2)
	a := c.seat(1)
	at := time.Date(2031, 12, 31, 23, 59, 59, 999999999, time.FixedZone("NPT", 5*3600+45*60))
	kept := time.Date(2031, 12, 31, 18, 14, 59, 999999000, time.UTC)
	values := map[study.AttributeID]float64{
		"third": 100.0 / 3, "tiny": math.SmallestNonzeroFloat64, "huge": math.MaxFloat64, "zero": 0, "minus": -0.1,
		"whole": 7, "next": math.Nextafter(50, 51),
	}
	var given []panel.Answer
	for attribute, value := range values {
		given = append(given, panel.Answer{ServingID: servingID(someStudy, 0, 1), Attribute: attribute, Value: value})
	}
	got[bool](c)(Rate(c.ctx, c.store, a.ID, turnID(someStudy, 0, 1), given, at))
	back := map[study.AttributeID]float64{}
	for _, r := range got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)) {
		back[r.Attribute] = r.Value
		same(c, "At", r.At, kept)
	}
	same(c, "values", back, values)
}

// testOwnServings tries to rate what belongs to somebody else.
func testOwnServings(c *check) {
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), append(plan(someStudy, 1, 0, 2, 2), laterTurn(3)), nil,
		happened))
	c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
	c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
	a := c.seat(1)
	c.seat(2)
	refused := []struct {
		name     string
		assessor panel.AssessorID
		turn     panel.TurnID
	}{
		{"another place", a.ID, turnID(someStudy, 1, 1)},
		{"a sitting that is not open", a.ID, laterTurn(3).ID},
		{"unknown turn", a.ID, "nothing"},
		{"zero byte", a.ID, "zero\x00byte"},
		{"unknown assessor", "nobody", turnID(someStudy, 0, 1)},
	}
	for _, try := range refused {
		_, err := Rate(c.ctx, c.store, try.assessor, try.turn, answers(try.turn, 1), noon)
		c.wantError(try.name, err, panel.ErrNotFound)
	}
	same(c, "ratings", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)), nil)
	same(c, "when rated", got[map[panel.TurnID]time.Time](c)(c.store.AnsweredBy(c.ctx, "nobody")), nil)
}

// testBadAnswers checks that what cannot be kept is refused whole.
func testBadAnswers(c *check) {
	c.opened(1, 2)
	a := c.seat(1)
	bad := map[string][]panel.Answer{
		"none":               {},
		"not a number":       {{Attribute: "salty", Value: 1}, {Attribute: "sweet", Value: math.NaN()}},
		"infinite":           {{Attribute: "salty", Value: math.Inf(1)}},
		"an attribute twice": {{Attribute: "salty", Value: 1}, {Attribute: "salty", Value: 2}},
	}
	for name, given := range bad {
		if first, err := Rate(c.ctx, c.store, a.ID, turnID(someStudy, 0, 1), given, noon); err == nil || first {
			c.Errorf("%s: got %v, %v; want an error", name, first, err)
		}
	}
	same(c, "ratings", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)), nil)
	same(c, "when rated", got[map[panel.TurnID]time.Time](c)(c.store.AnsweredBy(c.ctx, a.ID)), nil)
	same(c, "first good time", c.rate(a, 1, 1), true)
}

// testDoubleTap sends one serving's answers many times at once, each time with
// other values: one submission is kept, whole.
func testDoubleTap(c *check) {
	c.opened(1, 2)
	a := c.seat(1)
	firsts := make([]bool, 20)
	errs := make([]error, len(firsts))
	var all sync.WaitGroup
	for i := range firsts {
		all.Go(func() {
			firsts[i], errs[i] = Rate(c.ctx, c.store, a.ID, turnID(someStudy, 0, 1),
				answers(turnID(someStudy, 0, 1), float64(i)), noon)
		})
	}
	all.Wait()
	c.must(errors.Join(errs...))
	winner := slices.Index(firsts, true)
	if winner < 0 || slices.Index(firsts[winner+1:], true) >= 0 {
		c.Fatalf("first time told to %v, want exactly one", firsts)
	}
	same(c, "ratings", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)),
		rated(plan(someStudy, 1, 0, 1, 2), 0, 1, float64(winner), noon))
}

// testCloseWhileRating closes while everybody rates: what was recorded is there,
// and the rest is kept aside.
func testCloseWhileRating(c *check) {
	const people = 40
	c.opened(people, 2)
	seats := make([]panel.Assessor, people)
	for n := range seats {
		seats[n] = c.seat(n)
	}
	errs, firsts := make([]error, people), make([]bool, people)
	var all sync.WaitGroup
	for n, a := range seats {
		all.Go(func() {
			id := turnID(someStudy, a.Place, 1)
			firsts[n], errs[n] = Rate(c.ctx, c.store, a.ID, id, answers(id, float64(n)), noon)
		})
		if n != people/2 {
			continue
		}
		all.Go(func() {
			if err := c.store.CloseStudy(c.ctx, someStudy, noon, happened); err != nil {
				c.Errorf("close: %v", err)
			}
		})
	}
	all.Wait()
	c.must(errors.Join(errs...))
	var want []panel.KeyedAnswer
	aside := 0
	for n, first := range firsts {
		if first {
			want = append(want, rated(plan(someStudy, 1, 0, people, 2), seats[n].Place, 1, float64(n), noon)...)
			continue
		}
		aside++
	}
	same(c, "kept aside", len(got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy))), aside)
	same(c, "ratings after close", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)), want)
}

var progressTests = []namedTest{
	{"nothing yet", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		same(c, "draft", got[panel.Progress](c)(c.store.Progress(c.ctx, someStudy)), panel.Progress{})
	}},
	{"a study under way", testProgress},
}

func testProgress(c *check) {
	c.opened(5, 2) // each place has a warm-up and two rated servings
	c.must(c.store.CreateStudy(c.ctx, draft("other"), "", happened))
	c.must(c.store.LockStudy(c.ctx, "other", 1, someLock(), plan("other", 1, 0, 7, 3), nil, happened))

	c.seat(1) // has joined, no more
	warmedUp, tasting, finished := c.seat(2), c.seat(3), c.seat(4)
	for _, a := range []panel.Assessor{warmedUp, tasting, finished} {
		c.must(c.store.Start(c.ctx, a.ID, noon))
	}
	c.rate(tasting, 1, 1)
	c.rate(finished, 0, 1)
	c.rate(finished, 1, 1)
	c.rate(finished, 2, 1)
	c.rate(finished, 2, 1)

	want := panel.Progress{Places: 5, Joined: 4, Servings: 3}
	same(c, "progress", got[panel.Progress](c)(c.store.Progress(c.ctx, someStudy)), want)
	c.rate(warmedUp, 0, 1) // the warm-up is no rated serving
	same(c, "after a warm-up", got[panel.Progress](c)(c.store.Progress(c.ctx, someStudy)), want)
	same(c, "other study", got[panel.Progress](c)(c.store.Progress(c.ctx, "other")), panel.Progress{Places: 7})
}
