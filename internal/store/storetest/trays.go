package storetest

import (
	"strconv"
	"time"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// trayPlan is a plan in which each place gets a warm-up that is tasted alone, then a
// tray of a reference and two servings of which one is chosen.
func trayPlan(places int) []panel.Turn {
	var all []panel.Turn
	for place := range places {
		warm := plated(panel.Turn{StudyID: someStudy, Place: place, Order: 0, Sitting: 1, Role: design.WarmUp},
			panel.Serving{Role: design.WarmUp, Sample: "a", Code: code(place, 0)})
		warm.Response = study.TasteOnly
		all = append(all, warm, plated(panel.Turn{StudyID: someStudy, Place: place, Order: 1, Sitting: 1},
			panel.Serving{Role: design.Reference, Sample: "a", Code: code(place, 1)},
			panel.Serving{Position: 1, Sample: "b", Code: code(place, 2)},
			panel.Serving{Position: 2, Sample: "a", Code: code(place, 3)}))
	}
	return all
}

func code(place, n int) design.Code { return numbered(200 + 10*place + n) }

func numbered(n int) design.Code { return design.Code(strconv.Itoa(n)) }

func (c *check) openedTrays(places int) {
	c.Helper()
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), trayPlan(places),
		[]panel.Spare{{Sitting: 1, Code: "900"}}, happened))
	c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
}

// choice is the answers to the tray of a place: which of its two servings was chosen, 0
// for none.
func choice(place, chosen int) []panel.Answer {
	turn := turnID(someStudy, place, 1)
	answers := []panel.Answer{{ServingID: plateID(turn, 1), Attribute: study.ChoiceAnswer},
		{ServingID: plateID(turn, 2), Attribute: study.ChoiceAnswer}}
	if chosen > 0 {
		answers[chosen-1].Value = 1
	}
	return answers
}

var trayTests = []namedTest{
	{"a tray comes back with its plates in order", func(c *check) {
		c.openedTrays(2)
		a := c.seat(1)
		same(c, "plan", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy)), trayPlan(2))
		same(c, "by a plate", got[panel.Turn](c)(c.store.TurnOf(c.ctx, plateID(turnID(someStudy, 1, 1), 2))),
			trayPlan(2)[3])
		r := got[panel.SeatRecord](c)(c.store.SeatByToken(c.ctx, token(1)))
		same(c, "of a seat", r.Turns, trayPlan(2)[2*a.Place:2*a.Place+2])
	}},
	{"a choice is kept by serving", func(c *check) {
		c.openedTrays(1)
		a := c.seat(1)
		tray := turnID(someStudy, 0, 1)
		sub := panel.Submitted{ID: "s", AssessorID: a.ID, TurnID: tray, Answers: choice(0, 2), At: noon}
		c.submit(sub, panel.Recorded)
		_, held, err := c.store.Answers(c.ctx, tray)
		c.must(err)
		same(c, "answers", held, choice(0, 2))
		keyed := func(position int, sample study.SampleID, code design.Code, value float64) panel.KeyedAnswer {
			return panel.KeyedAnswer{Turn: 2, Sitting: 1, Position: position, Code: code, Sample: sample,
				Reference: "a", Attribute: study.ChoiceAnswer, Value: value, At: noon, NotSetDown: true}
		}
		same(c, "with the key", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)),
			[]panel.KeyedAnswer{keyed(1, "b", code(0, 2), 0), keyed(2, "a", code(0, 3), 1)})
		sub.ID, sub.Answers, sub.At = "t", choice(0, 0), noon.Add(time.Minute)
		c.submit(sub, panel.Corrected)
		same(c, "kept aside", got[[]panel.Replaced](c)(c.store.ReplacedAll(c.ctx, someStudy)),
			[]panel.Replaced{{TurnID: tray, At: noon, ReplacedAt: sub.At, Answers: choice(0, 2)}})
		same(c, "progress", got[panel.Progress](c)(c.store.Progress(c.ctx, someStudy)),
			panel.Progress{Places: 1, Joined: 1, Servings: 2})
	}},
	{"an answer about a tray as a whole has no serving", func(c *check) {
		c.openedTrays(1)
		a := c.seat(1)
		c.submit(panel.Submitted{ID: "s", AssessorID: a.ID, TurnID: turnID(someStudy, 0, 1),
			Answers: []panel.Answer{{Attribute: "same", Value: 1}}, At: noon}, panel.Recorded)
		same(c, "with the key", got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)),
			[]panel.KeyedAnswer{{Turn: 2, Sitting: 1, Reference: "a", Attribute: "same", Value: 1, At: noon,
				NotSetDown: true}})
	}},
	{"what is only tasted is answered without answers", func(c *check) {
		c.openedTrays(1)
		a := c.seat(1)
		warm := turnID(someStudy, 0, 0)
		c.submit(panel.Submitted{ID: "s", AssessorID: a.ID, TurnID: warm, At: noon}, panel.Recorded)
		answered, held, err := c.store.Answers(c.ctx, warm)
		c.must(err)
		same(c, "answered", answered, panel.AnsweredTurn{TurnID: warm, AssessorID: a.ID, At: noon})
		same(c, "answers", held, nil)
		_, err = c.store.Submit(c.ctx, panel.Submitted{ID: "t", AssessorID: a.ID, TurnID: turnID(someStudy, 0, 1),
			At: noon}, asRecorded)
		if err == nil {
			c.Error("a choice without an answer was kept")
		}
		c.submit(panel.Submitted{ID: "u", AssessorID: a.ID, TurnID: turnID(someStudy, 0, 1), Answers: choice(0, 1),
			At: noon}, panel.Recorded)
		same(c, "finished", got[panel.Assessor](c)(c.store.Assessor(c.ctx, a.ID)).FinishedAt, noon)
	}},
	{"one plate of a tray is dropped and set down anew", func(c *check) {
		c.openedTrays(1)
		c.seat(1)
		tray, later := turnID(someStudy, 0, 1), noon.Add(time.Minute)
		c.must(c.store.NoteTurn(c.ctx, tray, panel.TurnNote{Served: &noon}, event("served")))
		c.must(second(c.store.Drop(c.ctx, plateID(tray, 1), code(0, 2), noon, event("dropped"))))
		want := trayPlan(1)[1]
		for i := range want.Servings {
			want.Servings[i].ServedAt = noon
		}
		want.Servings[1].Code, want.Servings[1].ServedAt = "900", time.Time{}
		same(c, "dropped", got[panel.Turn](c)(c.store.Turn(c.ctx, tray)), want)
		c.must(c.store.NoteTurn(c.ctx, tray, panel.TurnNote{Served: &later}, event("served")))
		want.Servings[1].ServedAt = later
		same(c, "set down anew", got[panel.Turn](c)(c.store.Turn(c.ctx, tray)), want)
		c.must(c.store.NoteTurn(c.ctx, tray, panel.TurnNote{Served: &time.Time{}}, event("taken back")))
		for i := range want.Servings {
			want.Servings[i].ServedAt = time.Time{}
		}
		same(c, "taken back", got[panel.Turn](c)(c.store.Turn(c.ctx, tray)), want)
	}},
	{"answers to a tray after the close count its servings", func(c *check) {
		c.openedTrays(1)
		a := c.seat(1)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.submit(panel.Submitted{ID: "s", AssessorID: a.ID, TurnID: turnID(someStudy, 0, 1), Answers: choice(0, 1),
			At: noon}, panel.AfterClose)
		same(c, "servings after close", got[int](c)(c.store.AfterClose(c.ctx, a.ID)), 3)
	}},
}
