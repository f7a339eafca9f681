package store

import (
	"fmt"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// crowd is an open study in which everybody has sat down.
type crowd struct {
	study               panel.StudyID
	assessors, servings int
	attributes          int
}

var evening = time.Date(2026, 6, 1, 19, 0, 0, 0, time.UTC)

func (c crowd) turn(assessor, order int) panel.TurnID {
	return panel.TurnID(fmt.Sprintf("%s-turn-%d-%d", c.study, assessor, order))
}

// plate is the one serving of a turn.
func plate(turn panel.TurnID) panel.ServingID { return panel.ServingID(turn + " plate") }

func (c crowd) assessor(n int) panel.Assessor {
	return panel.Assessor{ID: panel.AssessorID(fmt.Sprintf("%s-assessor-%d", c.study, n)), StudyID: c.study,
		SittingID: panel.SittingID(c.study + "-sitting"), Place: n, JoinedAt: evening}
}

func (c crowd) token(n int) panel.TokenHash {
	return panel.TokenHash(fmt.Sprintf("%s-token-%d", c.study, n))
}

// answers gives every attribute the same value.
func (c crowd) answers(turn panel.TurnID, value float64) []panel.Answer {
	given := make([]panel.Answer, c.attributes)
	for i := range given {
		given[i] = panel.Answer{ServingID: plate(turn), Attribute: study.AttributeID(fmt.Sprintf("attribute-%d", i)),
			Value: value}
	}
	return given
}

// logged is an entry of the log that no test reads.
func logged(panel.Assessor) panel.Event { return panel.Event{At: evening, StudyID: "elsewhere"} }

// open makes the study with its plan and opens it.
func (c crowd) open(tb testing.TB, s *Store) {
	tb.Helper()
	var plan []panel.Turn
	for n := range c.assessors {
		for order := range c.servings {
			id := c.turn(n, order)
			plan = append(plan, panel.Turn{ID: id, Place: n, Order: order, Sitting: 1, Response: study.Rate,
				Servings: []panel.Serving{{ID: plate(id), TurnID: id, Position: order + 1, Sample: "custard",
					Code: "218"}}})
		}
	}
	ctx := tb.Context()
	must(tb, s.CreateStudy(ctx, panel.Study{ID: c.study, File: "invented", Created: evening, Revision: 1,
		Series: c.study, Version: 1}, "", logged(panel.Assessor{})))
	must(tb, s.LockStudy(ctx, c.study, 1, panel.Lock{At: evening}, plan, nil, logged(panel.Assessor{})))
	must(tb, s.OpenSitting(ctx, panel.Sitting{ID: panel.SittingID(c.study + "-sitting"), StudyID: c.study, Number: 1,
		Join: panel.JoinToken(c.study + "-join"), OpenedAt: evening}, logged(panel.Assessor{})))
}

// seat seats everybody.
func (c crowd) seat(tb testing.TB, s *Store) {
	tb.Helper()
	for n := range c.assessors {
		_, err := s.Seat(tb.Context(), c.assessor(n), c.token(n), nil, logged)
		must(tb, err)
	}
}

func must(tb testing.TB, err error) {
	tb.Helper()
	if err != nil {
		tb.Fatal(err)
	}
}
