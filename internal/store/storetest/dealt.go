package storetest

import (
	"fmt"
	"slices"
	"sync"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

var dealtTests = []namedTest{
	{"a newcomer is dealt a sample", func(c *check) {
		c.dealtOnArrival(3)
		same(c, "place", c.dealTo(1, 0).Place, 0)
		same(c, "place", c.dealTo(2, 1).Place, 1)
		same(c, "once", c.dealTo(2, 0).Place, 1)
		same(c, "dealt", got[[]panel.Dealt](c)(c.store.Dealt(c.ctx, someStudy)), []panel.Dealt{
			{Arrival: 1, Place: 0, Stratum: 0, Sample: "dealt-1", At: newcomer(1).JoinedAt},
			{Arrival: 2, Place: 1, Stratum: 1, Sample: "dealt-2", At: newcomer(2).JoinedAt}})
		for place, want := range []study.SampleID{"dealt-1", "dealt-2", ""} {
			turns := got[[]panel.Turn](c)(c.store.Turns(c.ctx, someStudy, place))
			same(c, "name to read", turns[0].Name, study.NameID(want))
			same(c, "warm-up", turns[1].Servings[0].Sample, "sample-1")
			same(c, "rated", turns[2].Servings[0].Sample, want)
		}
		log := got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))
		same(c, "logged", log[len(log)-1].Detail, "arrival 2, again false")
	}},
	{"a freed place is the next one's of its stratum", func(c *check) {
		c.dealtOnArrival(3)
		first := c.dealTo(1, 0)
		c.dealTo(2, 1)
		c.must(c.store.FreePlace(c.ctx, first.ID, happened))
		same(c, "of another stratum", c.dealTo(3, 1).Place, 2)
		_, err := c.store.Seat(c.ctx, newcomer(4), token(4), dealing(1), seated)
		c.wantError("another one", err, panel.ErrGroupFull)
		same(c, "of the stratum", c.dealTo(5, 0).Place, 0)
		log := got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))
		same(c, "logged", log[len(log)-1].Detail, "arrival 1, again true")
		same(c, "dealt", len(got[[]panel.Dealt](c)(c.store.Dealt(c.ctx, someStudy))), 3)
	}},
	{"a place whose guest left before any plate goes back too", func(c *check) {
		c.dealtOnArrival(2)
		gone := c.dealTo(1, 0)
		left := noon
		c.must(c.store.NoteAssessor(c.ctx, gone.ID, panel.AssessorNote{Left: &left}, happened))
		same(c, "of another stratum", c.dealTo(2, 1).Place, 1)
		same(c, "of the stratum", c.dealTo(3, 0).Place, 0)
	}},
	{"many are dealt at once", func(c *check) {
		c.dealtOnArrival(30)
		var all sync.WaitGroup
		errs := make([]error, 40)
		for n := range errs {
			all.Go(func() {
				_, errs[n] = c.store.Seat(c.ctx, newcomer(n), token(n), dealing(int32(n%3)), seated)
			})
		}
		all.Wait()
		same(c, "refused", len(slices.DeleteFunc(errs, func(err error) bool { return err == nil })), 10)
		var places []int
		for i, d := range got[[]panel.Dealt](c)(c.store.Dealt(c.ctx, someStudy)) {
			same(c, "in order", d.Arrival, i+1)
			same(c, "after what came before", d.Sample, study.SampleID(fmt.Sprintf("dealt-%d", i+1)))
			places = append(places, d.Place)
		}
		slices.Sort(places)
		same(c, "places", len(slices.Compact(places)), 30)
	}},
	{"what cannot be dealt seats nobody", func(c *check) {
		c.dealtOnArrival(1)
		d := dealing(0)
		d.Deal = func([]panel.Dealt) (study.SampleID, study.NameID, error) { return "", "", design.ErrDealtOtherwise }
		c.wantError("seat", second(c.store.Seat(c.ctx, newcomer(1), token(1), d, seated)), design.ErrDealtOtherwise)
		same(c, "seated", len(got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy))), 0)
		same(c, "dealt", len(got[[]panel.Dealt](c)(c.store.Dealt(c.ctx, someStudy))), 0)
	}},
}

// dealtOnArrival makes an open study whose samples are dealt on arrival: a name to read, a
// warm-up and a serving at each place.
func (c *check) dealtOnArrival(places int) {
	c.Helper()
	var turns []panel.Turn
	for place := range places {
		name := plated(panel.Turn{StudyID: someStudy, Place: place, Order: 0, Sitting: 1, Role: design.Expected})
		warm := plated(panel.Turn{StudyID: someStudy, Place: place, Order: 1, Sitting: 1, Role: design.WarmUp},
			panel.Serving{Role: design.WarmUp, Sample: "sample-1", Code: numbered(100 + place)})
		rated := plated(panel.Turn{StudyID: someStudy, Place: place, Order: 2, Sitting: 1},
			panel.Serving{Position: 1, Code: numbered(500 + place)})
		turns = append(turns, name, warm, rated)
	}
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), turns, nil, happened))
	c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
}

// dealing deals “dealt-” with the number of the arrival.
func dealing(stratum int32) *panel.Dealing {
	return &panel.Dealing{Stratum: stratum,
		Deal: func(before []panel.Dealt) (study.SampleID, study.NameID, error) {
			next := fmt.Sprintf("dealt-%d", len(before)+1)
			return study.SampleID(next), study.NameID(next), nil
		},
		Note: func(d panel.Dealt) panel.Event {
			return panel.Event{At: noon, StudyID: someStudy, Who: "a guest", What: "dealt",
				Detail: fmt.Sprintf("arrival %d, again %t", d.Arrival, d.Again)}
		}}
}

// dealTo seats the nth newcomer, of a stratum.
func (c *check) dealTo(n int, stratum int32) panel.Assessor {
	c.Helper()
	return got[panel.Assessor](c)(c.store.Seat(c.ctx, newcomer(n), token(n), dealing(stratum), seated))
}
