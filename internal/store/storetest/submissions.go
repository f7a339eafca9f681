package storetest

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// submission is the answers(…, n) to one turn of an assessor.
func submission(id string, a panel.Assessor, order int, n float64) panel.Submitted {
	turn := turnID(someStudy, a.Place, order)
	return panel.Submitted{ID: id, AssessorID: a.ID, TurnID: turn, Answers: answers(turn, n), At: noon}
}

// submit sends a submission that is judged as given, and returns what the judge saw.
func (c *check) submit(sub panel.Submitted, verdict panel.Outcome) (panel.Standing, panel.Outcome) {
	c.Helper()
	var seen panel.Standing
	outcome := got[panel.Outcome](c)(c.store.Submit(c.ctx, sub, func(st panel.Standing) (panel.Outcome, *panel.Event) {
		seen = st
		return verdict, nil
	}))
	return seen, outcome
}

// values gives the answers of a serving as they stand.
func (c *check) values(a panel.Assessor, order int) map[string]float64 {
	c.Helper()
	_, held, err := c.store.Answers(c.ctx, turnID(someStudy, a.Place, order))
	c.must(err)
	all := map[string]float64{}
	for _, x := range held {
		all[string(x.Attribute)] = x.Value
	}
	return all
}

func valuesOf(n float64) map[string]float64 {
	all := map[string]float64{}
	for _, x := range answers("", n) {
		all[string(x.Attribute)] = x.Value
	}
	return all
}

var submissionTests = []namedTest{
	{"a submission keeps all that came with it", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		sub := submission("s1", a, 1, 1)
		sub.Seq, sub.Comment, sub.EnteredBy = 7, "fumé – 韮", "floor 2"
		_, outcome := c.submit(sub, panel.Recorded)
		same(c, "outcome", outcome, panel.Recorded)
		want := panel.AnsweredTurn{TurnID: sub.TurnID, AssessorID: a.ID, Seq: 7, At: noon, EnteredBy: "floor 2",
			Comment: "fumé – 韮"}
		held, _, err := c.store.Answers(c.ctx, sub.TurnID)
		c.must(err)
		same(c, "held", held, want)
		c.isUTC("At", held.At)
		same(c, "of the study", got[[]panel.AnsweredTurn](c)(c.store.AnsweredTurns(c.ctx, someStudy)),
			[]panel.AnsweredTurn{want})
		for _, r := range got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)) {
			same(c, "entered by", r.EnteredBy, "floor 2")
		}
	}},
	{"an id is taken once and not judged again", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		c.submit(submission("s1", a, 1, 1), panel.Recorded)
		_, outcome := c.submit(submission("s1", a, 1, 2), panel.Corrected)
		same(c, "outcome", outcome, panel.Repeated)
		_, outcome = c.submit(submission("s1", a, 2, 3), panel.Recorded) // the same id for another serving
		same(c, "for another serving", outcome, panel.Repeated)
		same(c, "values", c.values(a, 1), valuesOf(1))
		c.wantError("the other", thirdOf(c.store.Answers(c.ctx, turnID(someStudy, 0, 2))), panel.ErrNotFound)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		_, outcome = c.submit(submission("s1", a, 1, 2), panel.Corrected)
		same(c, "after close", outcome, panel.Repeated)
	}},
	{"a submission is logged once, as judged", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		entered := panel.Event{At: noon, StudyID: someStudy, Who: "floor 1", What: "entered"}
		for range 2 {
			got[panel.Outcome](c)(c.store.Submit(c.ctx, submission("s1", a, 1, 1),
				func(panel.Standing) (panel.Outcome, *panel.Event) {
					return panel.Recorded, &entered
				}))
		}
		c.submit(submission("s2", a, 2, 1), panel.Recorded) // nothing to log
		same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)), []panel.Event{entered})
	}},
	{"the ids of two assessors are apart", func(c *check) {
		c.opened(2, 2)
		for _, a := range []panel.Assessor{c.seat(1), c.seat(2)} {
			_, outcome := c.submit(submission("s1", a, 1, 1), panel.Recorded)
			same(c, "outcome", outcome, panel.Recorded)
		}
	}},
	{"the judge sees what stands", func(c *check) {
		c.opened(2, 4)
		a, other := c.seat(1), c.seat(2)
		for order, seq := range map[int]int{2: 5, 3: 0, 4: 9} {
			sub := submission(fmt.Sprint(order), a, order, 1)
			sub.Seq = seq
			c.submit(sub, panel.Recorded)
		}
		c.submit(submission("x", other, 4, 1), panel.Recorded)
		seen, _ := c.submit(submission("y", a, 2, 1), panel.TooLate)
		same(c, "of a rated serving", seen, panel.Standing{Held: true, HeldSeq: 5, Later: []int{0, 9},
			Plates: []int{0, 9}})
		seen, _ = c.submit(submission("z", a, 1, 1), panel.Recorded)
		same(c, "of another", seen, panel.Standing{Later: []int{5, 0, 9}, Plates: []int{5, 0, 9}})
	}},
	{"a correction keeps what it replaces", testCorrection},
	{"what came too late is kept aside", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		c.submit(submission("s1", a, 1, 1), panel.Recorded)
		for i, verdict := range []panel.Outcome{panel.TooLate, panel.Superseded} {
			_, outcome := c.submit(submission(fmt.Sprint("late ", i), a, 1, 5), verdict)
			same(c, "outcome", outcome, verdict)
		}
		same(c, "values", c.values(a, 1), valuesOf(1))
		same(c, "kept aside", len(got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy))), 2)
	}},
	{"withdrawing deletes answers and nothing else", testWithdraw},
	{"the last question is answered once", testLastQuestion},
	{"corrections that come at once", testCorrectionsAtOnce},
	{"the last two servings at once finish the ballot", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		c.submit(submission("warm-up", a, 0, 1), panel.Recorded)
		var both sync.WaitGroup
		for order := 1; order <= 2; order++ {
			both.Go(func() { c.submit(submission(fmt.Sprint(order), a, order, 1), panel.Recorded) })
		}
		both.Wait()
		same(c, "finished", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).FinishedAt, noon)
	}},
	{"a later sitting is rated once it is open", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), append(plan(someStudy, 1, 0, 2, 1), laterTurn(2)),
			nil, happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		a := c.seat(1)
		sub := submission("x", a, 0, 1)
		sub.TurnID = laterTurn(2).ID
		_, err := c.store.Submit(c.ctx, sub, asRecorded)
		c.wantError("before", err, panel.ErrNotFound)
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		_, outcome := c.submit(sub, panel.Recorded)
		same(c, "once it is open", outcome, panel.Recorded)
		newcome := newcomer(2)
		newcome.SittingID = "sitting-2"
		_, err = c.store.Seat(c.ctx, newcome, token(2), nil, seated)
		c.wantError("its place is taken", err, panel.ErrFull)
	}},
	{"an earlier sitting than one's own is missed", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), append(plan(someStudy, 1, 0, 1, 1), laterTurn(2)),
			nil, happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		late := newcomer(1)
		late.SittingID = "sitting-2"
		a := got[panel.Assessor](c)(c.store.Seat(c.ctx, late, token(1), nil, seated))
		_, err := c.store.Submit(c.ctx, submission("x", a, 1, 1), asRecorded)
		c.wantError("a serving of the first", err, panel.ErrNotFound)
		sub := submission("y", a, 1, 1)
		sub.TurnID = laterTurn(2).ID
		c.submit(sub, panel.Recorded)
		same(c, "finished", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).FinishedAt, noon)
		same(c, "progress", got[panel.Progress](c)(c.store.Progress(c.ctx, someStudy)),
			panel.Progress{Places: 1, Joined: 1, Servings: 1})
	}},
}

// thirdOf drops two values, to look at the error alone.
func thirdOf[A, B any](_ A, _ B, err error) error { return err }

func testCorrection(c *check) {
	c.opened(1, 2)
	a := c.seat(1)
	first := submission("s1", a, 1, 1)
	first.Seq, first.Comment = 1, "first"
	c.submit(first, panel.Recorded)
	second := submission("s2", a, 1, 2)
	second.Seq, second.Comment, second.At = 2, "second", noon.Add(time.Minute)
	_, outcome := c.submit(second, panel.Corrected)
	same(c, "outcome", outcome, panel.Corrected)
	same(c, "values", c.values(a, 1), valuesOf(2))
	held, _, err := c.store.Answers(c.ctx, first.TurnID)
	c.must(err)
	same(c, "held", held, panel.AnsweredTurn{TurnID: first.TurnID, AssessorID: a.ID, Seq: 2, At: noon,
		Comment: "second"})
	replaced := got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy))
	if len(replaced) != 1 {
		c.Fatalf("%d sets of answers kept aside, want 1", len(replaced))
	}
	r := replaced[0]
	c.isUTC("ReplacedAt", r.ReplacedAt)
	old := map[string]float64{}
	for _, x := range r.Answers {
		old[string(x.Attribute)] = x.Value
	}
	same(c, "old values", old, valuesOf(1))
	r.Answers = nil
	same(c, "kept aside", r, panel.Replaced{TurnID: first.TurnID, Seq: 1, Comment: "first", At: noon,
		ReplacedAt: second.At})
	same(c, "ratings", len(got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy))), 3)
}

func testWithdraw(c *check) {
	c.opened(2, 2)
	a, other := c.seat(1), c.seat(2)
	for order := range 3 {
		c.submit(submission(fmt.Sprint(order), a, order, 1), panel.Recorded)
	}
	c.submit(submission("again", a, 2, 2), panel.Corrected)
	c.submit(submission("x", other, 1, 3), panel.Recorded)
	e := panel.Event{At: noon, StudyID: someStudy, Who: "assessor 1", What: "withdrew"}
	said := []panel.ScreenAnswer{{Question: "senses", Answer: study.No}, {Question: "kitchen", Answer: study.Yes}}
	c.must(c.store.NoteAssessor(c.ctx, a.ID, panel.AssessorNote{Screening: said}, happened))
	same(c, "screening", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).Screening, said)
	c.must(c.store.Withdraw(c.ctx, a.ID, noon, e))
	c.must(c.store.Withdraw(c.ctx, a.ID, noon.Add(time.Hour), e))
	same(c, "ratings", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)),
		rated(plan(someStudy, 1, 0, 2, 2), 1, 1, 3, noon))
	same(c, "kept aside", got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy)), nil)
	same(c, "rated servings", len(got[[]panel.AnsweredTurn](c)(c.store.AnsweredTurns(c.ctx, someStudy))), 1)
	gone := got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID))
	same(c, "withdrawn", gone.WithdrawnAt, noon)
	same(c, "answers before the first plate", len(gone.Screening), 0)
	same(c, "finished", gone.FinishedAt, noon)
	same(c, "place", gone.Place, a.Place)
	same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)), []panel.Event{e})
	_, outcome := c.submit(submission("1", a, 1, 9), panel.Recorded)
	same(c, "an old one again", outcome, panel.Repeated)
	_, err := c.store.Submit(c.ctx, submission("new", a, 1, 9), asRecorded)
	c.wantError("a new one", err, panel.ErrWithdrawn)
	c.wantError("a note", c.store.NoteAssessor(c.ctx, a.ID, panel.AssessorNote{Left: &noon}, e), panel.ErrWithdrawn)
	c.wantError("nobody", c.store.Withdraw(c.ctx, "nobody", noon, e), panel.ErrNotFound)
	c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
	c.must(c.store.NoteExport(c.ctx, got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), noon, happened))
	c.must(c.store.Withdraw(c.ctx, other.ID, noon, e))
	same(c, "ratings after close", len(got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy))), 0)
	same(c, "exported", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).ExportedAt, time.Time{})
}

// testCorrectionsAtOnce: each correction waits for the one before, so that none is
// lost and one stands.
func testCorrectionsAtOnce(c *check) {
	c.opened(1, 2)
	a := c.seat(1)
	const many = 20
	errs := make([]error, many)
	var all sync.WaitGroup
	for i := range many {
		all.Go(func() {
			_, errs[i] = c.store.Submit(c.ctx, submission(fmt.Sprint(i), a, 1, float64(i)),
				func(st panel.Standing) (panel.Outcome, *panel.Event) {
					if st.Held {
						return panel.Corrected, nil
					}
					return panel.Recorded, nil
				})
		})
	}
	all.Wait()
	c.must(errors.Join(errs...))
	same(c, "kept aside", len(got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy))), many-1)
	standing := c.values(a, 1)["ärger"]
	same(c, "values of one submission", c.values(a, 1), valuesOf(standing))
}
