package storetest

import (
	"errors"
	"slices"
	"sync"
	"time"

	"cloche/internal/design"
	"cloche/internal/panel"
)

// withSpares opens a study with spare codes.
func (c *check) withSpares(places, spares int) {
	c.Helper()
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	var codes []panel.Spare
	for i := range spares {
		codes = append(codes, panel.Spare{Sitting: 1, Order: i, Code: numbered(900 + i)},
			panel.Spare{Sitting: 2, Order: i, Code: numbered(800 + i)})
	}
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), plan(someStudy, 1, 0, places, 2), codes, happened))
	c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
}

func event(what string) panel.Event {
	return panel.Event{At: noon, StudyID: someStudy, Who: "floor 1", What: what}
}

var roomTests = []namedTest{
	{"a turn notes what happened to it", func(c *check) {
		c.opened(2, 2)
		a := c.seat(1)
		id := turnID(someStudy, a.Place, 1)
		plate := servingID(someStudy, a.Place, 1)
		want := got[panel.Turn](c)(c.store.Turn(c.ctx, id))
		later := noon.Add(time.Minute)
		c.must(c.store.NoteTurn(c.ctx, id, panel.TurnNote{Served: &noon}, event("served")))
		c.must(c.store.Reveal(c.ctx, plate, panel.Reveal{At: noon}, event("blind broken")))
		c.must(c.store.Reveal(c.ctx, plate, panel.Reveal{At: later, WrongPlate: true}, event("again")))
		c.must(c.store.NoteTurn(c.ctx, id, panel.TurnNote{Served: &later, Refused: &later}, event("refused")))
		want.Servings[0].ServedAt, want.Servings[0].RevealedAt, want.RefusedAt = noon, noon, later
		back := got[panel.Turn](c)(c.store.TurnOf(c.ctx, plate))
		same(c, "turn", back, want)
		c.isUTC("ServedAt", back.Servings[0].ServedAt)
		c.isUTC("RefusedAt", back.RefusedAt)
		c.must(c.store.NoteTurn(c.ctx, id, panel.TurnNote{Served: &time.Time{}, Refused: &time.Time{}},
			event("taken back")))
		want.Servings[0].ServedAt, want.RefusedAt = time.Time{}, time.Time{}
		same(c, "taken back", got[panel.Turn](c)(c.store.Turn(c.ctx, id)), want)
		same(c, "of the sitting", got[[]panel.Turn](c)(c.store.TurnsAt(c.ctx, someStudy, 1))[1], want)
		c.rate(a, 1, 1)
		for _, r := range got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)) {
			same(c, "revealed", r.Revealed, true)
			same(c, "a wrong plate", r.Incidents, []panel.Incident{panel.AteAnother})
		}
		same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)),
			[]panel.Event{event("served"), event("blind broken"), event("again"), event("refused"),
				event("taken back")})
	}},
	{"nothing is noted where it does not belong", func(c *check) {
		c.opened(2, 2)
		a := c.seat(1)
		note := panel.TurnNote{Served: &noon}
		c.wantError("a place that nobody has", c.store.NoteTurn(c.ctx, turnID(someStudy, 1, 1), note, event("x")),
			panel.ErrNotFound)
		c.wantError("an unknown turn", c.store.NoteTurn(c.ctx, "nothing", note, event("x")), panel.ErrNotFound)
		c.wantError("an unknown serving", c.store.Reveal(c.ctx, "nothing", panel.Reveal{At: noon}, event("x")),
			panel.ErrNotFound)
		c.wantError("an unknown assessor", c.store.NoteAssessor(c.ctx, "nobody", panel.AssessorNote{Left: &noon},
			event("x")), panel.ErrNotFound)
		c.wantError("read nothing", second(c.store.TurnOf(c.ctx, "nothing")), panel.ErrNotFound)
		c.wantError("read nobody", second(c.store.Assessor(c.ctx, "nobody")), panel.ErrNotFound)
		c.wantError("read no sitting", second(c.store.Sitting(c.ctx, "nowhere")), panel.ErrNotFound)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("a turn after close", c.store.NoteTurn(c.ctx, turnID(someStudy, 0, 1), note, event("x")),
			panel.ErrNotOpen)
		c.wantError("an assessor after close", c.store.NoteAssessor(c.ctx, a.ID, panel.AssessorNote{Left: &noon},
			event("x")), panel.ErrNotOpen)
		c.wantError("a drop after close", second(c.store.Drop(c.ctx, servingID(someStudy, 0, 1),
			codeOf(c, servingID(someStudy, 0, 1)), noon, event("x"))), panel.ErrNotOpen)
		same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)), nil)
	}},
	{"an assessor notes what happened to them", func(c *check) {
		c.opened(1, 2)
		want := c.seat(1)
		seat := "table 4 – Fenster"
		c.must(c.store.NoteAssessor(c.ctx, want.ID, panel.AssessorNote{Left: &noon, Seat: &seat}, event("left")))
		c.must(c.store.NoteAssessor(c.ctx, want.ID, panel.AssessorNote{Rested: &noon}, event("rested")))
		want.LeftAt, want.RestedAt, want.Seat = noon, noon, seat
		same(c, "assessor", got[panel.Assessor](c)(c.store.Assessor(c.ctx, want.ID)), want)
		c.must(c.store.NoteAssessor(c.ctx, want.ID, panel.AssessorNote{Left: &time.Time{}}, event("returned")))
		want.LeftAt = time.Time{}
		same(c, "returned", got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy)), []panel.Assessor{want})
		same(c, "sitting by id", got[panel.Sitting](c)(c.store.Sitting(c.ctx, someSitting)), sitting(1))
	}},
	{"a guest may have a phone", func(c *check) {
		c.opened(2, 1)
		with, without := newcomer(1), newcomer(2)
		with.Phone, without.StartedAt = true, noon
		same(c, "with", got[panel.Assessor](c)(c.store.Seat(c.ctx, with, token(1), nil, seated)).Phone, true)
		back := got[panel.Assessor](c)(c.store.Seat(c.ctx, without, token(2), nil, seated))
		same(c, "without", back.Phone, false)
		same(c, "started", back.StartedAt, noon)
	}},
	{"the last serving may be refused", func(c *check) {
		c.opened(1, 2)
		a := c.seat(1)
		c.rate(a, 0, 1)
		c.must(c.store.NoteTurn(c.ctx, turnID(someStudy, 0, 2), panel.TurnNote{Refused: &noon}, event("refused")))
		same(c, "one is left", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).FinishedAt, time.Time{})
		c.must(c.store.NoteTurn(c.ctx, turnID(someStudy, 0, 2), panel.TurnNote{Refused: &time.Time{}},
			event("taken back")))
		c.rate(a, 1, 1)
		same(c, "one is left still", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).FinishedAt, time.Time{})
		c.must(c.store.NoteTurn(c.ctx, turnID(someStudy, 0, 2), panel.TurnNote{Refused: &noon}, event("refused")))
		same(c, "finished", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).FinishedAt, noon)
		c.rate(a, 2, 1)
		same(c, "who answers did not refuse", got[panel.Turn](c)(c.store.Turn(c.ctx,
			turnID(someStudy, 0, 2))).RefusedAt, time.Time{})
	}},
	{"drops take the spare codes in order", func(c *check) {
		c.withSpares(2, 2)
		a := c.seat(1)
		id := servingID(someStudy, a.Place, 1)
		was := plateOf(c, id)
		c.must(c.store.NoteTurn(c.ctx, was.TurnID, panel.TurnNote{Served: &noon}, event("served")))
		want := was
		want.Code = "900"
		same(c, "first", got[panel.Serving](c)(c.store.Drop(c.ctx, id, codeOf(c, id), noon, event("dropped"))), want)
		same(c, "left", got[[]design.Code](c)(c.store.SpareCodes(c.ctx, someStudy, 1)), []design.Code{"901"})
		want.Code = "901"
		same(c, "second", got[panel.Serving](c)(c.store.Drop(c.ctx, id, codeOf(c, id), noon.Add(time.Hour),
			event("dropped"))), want)
		same(c, "kept", plateOf(c, id), want)
		c.wantError("no code of the sitting is left", second(c.store.Drop(c.ctx, id, codeOf(c, id), noon, event("x"))),
			panel.ErrNoSpare)
		same(c, "old codes", got[[]panel.Dropped](c)(c.store.Dropped(c.ctx, someStudy)),
			[]panel.Dropped{{ServingID: id, Code: was.Code, At: noon},
				{ServingID: id, Code: "900", At: noon.Add(time.Hour)}})
		c.rate(a, 1, 1)
		c.wantError("what was rated", second(c.store.Drop(c.ctx, id, codeOf(c, id), noon, event("x"))), panel.ErrRated)
		c.wantError("what nobody has", second(c.store.Drop(c.ctx, servingID(someStudy, 1, 1),
			codeOf(c, servingID(someStudy, 1, 1)), noon, event("x"))), panel.ErrNotFound)
	}},
	{"a drop takes no code that the guest knows from another plate", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		known := plan(someStudy, 1, 0, 2, 2)[0].Servings[0].Code
		spares := []panel.Spare{{Sitting: 1, Order: 0, Code: known}, {Sitting: 1, Order: 1, Code: "901"}}
		c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), plan(someStudy, 1, 0, 2, 2), spares, happened))
		c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
		id := servingID(someStudy, c.seat(1).Place, 1)
		same(c, "code", got[panel.Serving](c)(c.store.Drop(c.ctx, id, codeOf(c, id), noon, event("dropped"))).Code,
			"901")
		c.wantError("only a known code is left", second(c.store.Drop(c.ctx, id, "901", noon, event("x"))),
			panel.ErrNoSpare)
	}},
	{"a drop of a code that the plate carries no more takes no spare", func(c *check) {
		c.withSpares(2, 2)
		id := servingID(someStudy, c.seat(1).Place, 1)
		c.must(second(c.store.Drop(c.ctx, id, codeOf(c, id), noon, event("dropped"))))
		c.wantError("the old code", second(c.store.Drop(c.ctx, id, "111", noon, event("x"))), panel.ErrOtherCode)
		same(c, "still", codeOf(c, id), "900")
	}},
	{"an act that comes again changes nothing", func(c *check) {
		c.withSpares(2, 2)
		a := c.seat(1)
		id := servingID(someStudy, a.Place, 1)
		e := event("x")
		e.ActID = "made-on-a-phone"
		same(c, "before", got[bool](c)(c.store.Acted(c.ctx, someStudy, e.ActID)), false)
		turn := turnID(someStudy, a.Place, 1)
		c.must(c.store.NoteTurn(c.ctx, turn, panel.TurnNote{Served: &noon}, e))
		same(c, "after", got[bool](c)(c.store.Acted(c.ctx, someStudy, e.ActID)), true)
		c.wantError("a note of a turn", c.store.NoteTurn(c.ctx, turn, panel.TurnNote{Served: &time.Time{}}, e),
			panel.ErrRepeated)
		same(c, "served", plateOf(c, id).ServedAt, noon)
		c.wantError("a note of an assessor", c.store.NoteAssessor(c.ctx, a.ID, panel.AssessorNote{Left: &noon}, e),
			panel.ErrRepeated)
		same(c, "left", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).LeftAt, time.Time{})
		was := codeOf(c, id)
		c.wantError("a drop", second(c.store.Drop(c.ctx, id, was, noon, e)), panel.ErrRepeated)
		same(c, "code", codeOf(c, id), was)
		c.wantError("an entry of the log", c.store.AppendEvent(c.ctx, e), panel.ErrRepeated)
	}},
	{"drops at once take different codes", func(c *check) {
		const people = 12
		c.withSpares(people, people-2)
		for n := range people {
			c.seat(n)
		}
		codes := make([]design.Code, people)
		errs := make([]error, people)
		var all sync.WaitGroup
		for n := range people {
			all.Go(func() {
				var dropped panel.Serving
				dropped, errs[n] = c.store.Drop(c.ctx, servingID(someStudy, n, 1),
					codeOf(c, servingID(someStudy, n, 1)), noon, event("dropped"))
				codes[n] = dropped.Code
			})
		}
		all.Wait()
		none := 0
		var given []design.Code
		for n, err := range errs {
			switch {
			case err == nil:
				given = append(given, codes[n])
			case errors.Is(err, panel.ErrNoSpare):
				none++
			default:
				c.Errorf("drop %d: %v", n, err)
			}
		}
		slices.Sort(given)
		same(c, "told that none is left", none, 2)
		same(c, "different codes", len(slices.Compact(given)), people-2)
	}},
	{"temperatures are kept in order", func(c *check) {
		c.opened(1, 1)
		want := []panel.Measured{
			{SittingID: someSitting, Wave: 2, Dish: "custard", Celsius: 63.1, At: noon, Who: "kitchen 1"},
			{SittingID: someSitting, Wave: 1, Dish: "custard", Celsius: -1.0 / 3, At: noon.Add(-time.Hour),
				Who: "kitchen 2", Corrects: 1},
		}
		for _, m := range want {
			c.must(c.store.AppendTemperature(c.ctx, m, event("temperature")))
		}
		back := got[[]panel.Measured](c)(c.store.Temperatures(c.ctx, someSitting))
		same(c, "ids count up", back[0].ID < back[1].ID, true)
		for i := range back {
			back[i].ID = 0
		}
		same(c, "temperatures", back, want)
		c.isUTC("At", back[0].At)
		same(c, "elsewhere", got[[]panel.Measured](c)(c.store.Temperatures(c.ctx, "sitting-2")), nil)
		same(c, "log", len(got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))), 2)
	}},
}

// plateOf returns a serving as it stands.
func plateOf(c *check, id panel.ServingID) panel.Serving {
	turn, err := c.store.TurnOf(c.ctx, id)
	if err != nil {
		c.Errorf("serving %s: %v", id, err)
	}
	for _, v := range turn.Servings {
		if v.ID == id {
			return v
		}
	}
	return panel.Serving{}
}

// codeOf returns the code that a serving carries.
func codeOf(c *check, id panel.ServingID) design.Code { return plateOf(c, id).Code }
