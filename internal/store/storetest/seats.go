package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"cloche/internal/panel"
)

var sittingTests = []namedTest{
	{"sittings come by number", func(c *check) {
		c.locked(2, 2)
		for _, number := range []int{2, 1, 3} {
			c.must(c.store.OpenSitting(c.ctx, sitting(number), happened))
		}
		same(c, "sittings", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy)),
			[]panel.Sitting{sitting(1), sitting(2), sitting(3)})
		same(c, "state", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).State, panel.Open)
	}},
	{"a number is taken once", func(c *check) {
		c.opened(1, 2)
		again := sitting(2)
		again.Number = 1
		c.wantError("open sitting 1 again", c.store.OpenSitting(c.ctx, again, happened), panel.ErrWrongState)
		same(c, "sittings", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy)), []panel.Sitting{sitting(1)})
	}},
	{"the word is asked at a sitting", func(c *check) {
		c.opened(1, 2)
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		c.must(c.store.AskWord(c.ctx, someSitting, true, happened))
		want := sitting(1)
		want.AskWord = true
		same(c, "asked", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy)), []panel.Sitting{want, sitting(2)})
		c.must(c.store.AskWord(c.ctx, someSitting, false, happened))
		same(c, "no more", got[panel.Sitting](c)(c.store.SittingByJoin(c.ctx, "join-1")), sitting(1))
		c.wantError("nowhere", c.store.AskWord(c.ctx, "nowhere", true, happened), panel.ErrNotFound)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", c.store.AskWord(c.ctx, someSitting, true, happened), panel.ErrWrongState)
	}},
	{"a join link finds its sitting", func(c *check) {
		c.locked(1, 2)
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		found := got[panel.Sitting](c)(c.store.SittingByJoin(c.ctx, "join-2"))
		same(c, "sitting", found, sitting(2))
		c.isUTC("OpenedAt", found.OpenedAt)
		for _, join := range []panel.JoinToken{"", "join-3", "JOIN-2", "join-_", "zero\x00byte", "no \xff UTF-8"} {
			c.wantError("join "+string(join), second(c.store.SittingByJoin(c.ctx, join)), panel.ErrNotFound)
		}
	}},
	{"a decline counts once", func(c *check) {
		c.opened(1, 2)
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		for _, nonce := range []panel.TokenHash{"a", "b", "a", "a"} {
			c.must(c.store.Decline(c.ctx, someSitting, nonce, "", noon, happened))
		}
		want := sitting(1)
		want.Declined = 2
		same(c, "by number", got[[]panel.Sitting](c)(c.store.Sittings(c.ctx, someStudy)),
			[]panel.Sitting{want, sitting(2)})
		same(c, "by link", got[panel.Sitting](c)(c.store.SittingByJoin(c.ctx, "join-1")), want)
		c.wantError("decline elsewhere", c.store.Decline(c.ctx, "nowhere", "a", "", noon, happened), panel.ErrNotFound)
	}},
	{"why people declined: the first reason stays", func(c *check) {
		c.opened(1, 2)
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		for _, x := range []struct {
			at    panel.SittingID
			nonce panel.TokenHash
			why   panel.WhyNot
		}{{someSitting, "a", ""}, {someSitting, "a", panel.CannotEat}, {someSitting, "a", panel.NoTime},
			{someSitting, "b", ""}, {sitting(2).ID, "c", panel.CannotEat}, {someSitting, "d", panel.OtherReason}} {
			c.must(c.store.Decline(c.ctx, x.at, x.nonce, x.why, noon, happened))
		}
		same(c, "reasons", got[panel.WhyCounts](c)(c.store.WhyDeclined(c.ctx, someStudy)), panel.WhyCounts{0, 2, 0, 1})
		same(c, "of no study", got[panel.WhyCounts](c)(c.store.WhyDeclined(c.ctx, "nowhere")), panel.WhyCounts{})
	}},
}

var seatTests = []namedTest{
	{"places go in order", func(c *check) {
		c.opened(3, 2)
		var want []panel.Assessor
		for n := range 3 {
			seated := newcomer(n)
			seated.Place = n
			same(c, "seated", c.seat(n), seated)
			want = append(want, seated)
		}
		same(c, "assessors", got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy)), want)
		c.wantError("one too many", second(c.store.Seat(c.ctx, newcomer(3), token(3), nil, seated)), panel.ErrFull)
		c.isUTC("JoinedAt", c.seat(0).JoinedAt)
	}},
	{"the same link seats once", func(c *check) {
		c.opened(3, 2)
		first := c.seat(1)
		c.seat(2)
		again := newcomer(3)
		again.JoinedAt = noon.Add(5 * time.Hour)
		same(c, "second time", got[panel.Assessor](c)(c.store.Seat(c.ctx, again, token(1), nil, seated)), first)
		same(c, "by link", got[panel.Assessor](c)(c.store.AssessorByToken(c.ctx, token(1))), first)
		same(c, "seated", len(got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy))), 2)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		same(c, "after close", got[panel.Assessor](c)(c.store.Seat(c.ctx, again, token(1), nil, seated)), first)
	}},
	{"a seat is logged once, with the place", func(c *check) {
		c.opened(3, 2)
		c.seat(1)
		note := func(a panel.Assessor) panel.Event {
			return panel.Event{At: noon, StudyID: someStudy, Who: fmt.Sprint("place ", a.Place), What: "consented"}
		}
		for range 2 {
			got[panel.Assessor](c)(c.store.Seat(c.ctx, newcomer(2), token(2), nil, note))
		}
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("after close", second(c.store.Seat(c.ctx, newcomer(3), token(3), nil, note)), panel.ErrNotOpen)
		same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)),
			[]panel.Event{note(panel.Assessor{Place: 1})})
	}},
	{"each sitting has its places", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		servings := append(plan(someStudy, 1, 0, 2, 1), plan(someStudy, 2, 2, 1, 1)...)
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), servings, nil, happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened))
		late := newcomer(1)
		late.SittingID = "sitting-2"
		same(c, "place at sitting 2", got[panel.Assessor](c)(c.store.Seat(c.ctx, late, token(1), nil, seated)).Place, 2)
		same(c, "place at sitting 1", c.seat(2).Place, 0)
		another := newcomer(3)
		another.SittingID = "sitting-2"
		c.wantError("sitting 2 is full", second(c.store.Seat(c.ctx, another, token(3), nil, seated)), panel.ErrFull)
	}},
	{"free places are counted", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		servings := append(plan(someStudy, 1, 0, 3, 4), plan(someStudy, 2, 3, 2, 4)...)
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), servings, nil, happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		c.seat(1)
		for sitting, want := range map[int]int{1: 2, 2: 2, 3: 0} {
			free := got[int](c)(c.store.FreePlaces(c.ctx, someStudy, sitting))
			same(c, fmt.Sprintf("free at sitting %d", sitting), free, want)
		}
		same(c, "places that are free", got[[]int](c)(c.store.VacantPlaces(c.ctx, someStudy)), []int{1, 2, 3, 4})
		same(c, "free elsewhere", got[int](c)(c.store.FreePlaces(c.ctx, "elsewhere", 1)), 0)
		c.seat(2)
		c.seat(3)
		same(c, "free when full", got[int](c)(c.store.FreePlaces(c.ctx, someStudy, 1)), 0)
	}},
	{"nobody sits down unless open", func(c *check) {
		c.opened(2, 2)
		nowhere := newcomer(1)
		nowhere.SittingID = "nowhere"
		c.wantError("unknown sitting", second(c.store.Seat(c.ctx, nowhere, token(1), nil, seated)), panel.ErrNotFound)
		foreign := newcomer(1)
		foreign.StudyID = "another"
		c.wantError("sitting of another study", second(c.store.Seat(c.ctx, foreign, token(1), nil, seated)),
			panel.ErrNotFound)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("closed", second(c.store.Seat(c.ctx, newcomer(1), token(1), nil, seated)), panel.ErrNotOpen)
		same(c, "seated", got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy)), nil)
	}},
	{"an unknown link is not found", func(c *check) {
		c.opened(1, 1)
		c.seat(1)
		for _, hash := range []panel.TokenHash{"", "token-2", "TOKEN-1"} {
			c.wantError("link "+string(hash), second(c.store.AssessorByToken(c.ctx, hash)), panel.ErrNotFound)
		}
	}},
	{"the first start counts", func(c *check) {
		c.opened(1, 2)
		want := c.seat(1)
		c.must(c.store.Start(c.ctx, want.ID, noon.Add(time.Minute)))
		c.must(c.store.Start(c.ctx, want.ID, noon.Add(time.Hour)))
		want.StartedAt = noon.Add(time.Minute)
		back := got[panel.Assessor](c)(c.store.AssessorByToken(c.ctx, token(1)))
		same(c, "assessor", back, want)
		c.isUTC("StartedAt", back.StartedAt)
		c.wantError("start of nobody", c.store.Start(c.ctx, "nobody", noon), panel.ErrNotFound)
	}},
	{"200 at once on 150 places", func(c *check) { testRush(c, 150, 200) }},
	{"two for the last place", func(c *check) {
		c.opened(3, 1)
		c.seat(101)
		c.seat(102)
		places, errs := rush(c, 2)
		same(c, "place given", places, []int{2})
		same(c, "told that it is full", errs, 1)
	}},
	{"one link at once from many sides", func(c *check) {
		c.opened(30, 1)
		seats := make([]panel.Assessor, 20)
		errs := make([]error, len(seats))
		var all sync.WaitGroup
		for i := range seats {
			all.Go(func() { seats[i], errs[i] = c.store.Seat(c.ctx, newcomer(i), "one token", nil, seated) })
		}
		all.Wait()
		c.must(errors.Join(errs...))
		for _, seat := range seats {
			same(c, "seat", seat, seats[0])
		}
		same(c, "seated", got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy)), seats[:1])
	}},
	{"a cancelled call takes no place", func(c *check) {
		c.opened(1, 1)
		ctx, cancel := context.WithCancel(c.ctx)
		cancel()
		c.wantError("seat", second(c.store.Seat(ctx, newcomer(1), token(1), nil, seated)), context.Canceled)
		same(c, "place", c.seat(2).Place, 0)
	}},
}

// testRush seats more people at once than there are places: each place is given
// once, the lowest first, and everybody else is told.
func testRush(c *check, places, people int) {
	c.opened(places, 2)
	given, refused := rush(c, people)
	want := make([]int, places)
	for i := range want {
		want[i] = i
	}
	same(c, "places given", given, want)
	same(c, "told that it is full", refused, people-places)
	same(c, "seated", len(got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy))), places)
}

// rush seats people at once and returns the places they got, in order, and how
// many were told that it is full.
func rush(c *check, people int) (places []int, full int) {
	c.Helper()
	seats := make([]panel.Assessor, people)
	errs := make([]error, people)
	start := make(chan struct{})
	var all sync.WaitGroup
	for i := range people {
		all.Go(func() {
			<-start
			seats[i], errs[i] = c.store.Seat(c.ctx, newcomer(i), token(i), nil, seated)
		})
	}
	close(start)
	all.Wait()
	for i, err := range errs {
		switch {
		case err == nil:
			places = append(places, seats[i].Place)
		case errors.Is(err, panel.ErrFull):
			full++
		default:
			c.Errorf("seat %d: %v", i, err)
		}
	}
	slices.Sort(places)
	return places, full
}
