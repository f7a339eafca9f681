// Package storetest holds every implementation of [panel.Store] to what that
// interface promises.
//
// The suite knows nothing of SQL and runs against an empty store that the caller
// opens for each test. [Postgres] makes an empty database for that on a server.
//
// It does not test what a process that dies leaves behind, nor migrations: those
// belong to the implementation.
package storetest

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// Run tests the stores that open gives, each empty and closed by open itself
// when the test that it belongs to ends.
func Run(t *testing.T, open func(t *testing.T) panel.Store) {
	groups := []struct {
		name  string
		tests []namedTest
	}{
		{"studies", studyTests}, {"drafts", draftTests}, {"versions", versionTests}, {"library", libraryTests},
		{"sittings", sittingTests}, {"prepared sittings", preparedTests}, {"freed links", freedTests},
		{"seats", seatTests}, {"dealt", dealtTests}, {"seat records", recordTests},
		{"ratings", ratingTests}, {"submissions", submissionTests},
		{"submissions at once", submitAllTests}, {"names", nameTests}, {"trays", trayTests},
		{"room", roomTests}, {"incidents", incidentTests}, {"at the pass", passTests}, {"evening", eveningTests},
		{"free places", freePlaceTests},
		{"progress", progressTests}, {"spreads", spreadTests}, {"shared reports", shareTests},
		{"service", serviceTests}, {"access", accessTests},
	}
	for _, group := range groups {
		t.Run(group.name, func(t *testing.T) {
			for _, test := range group.tests {
				t.Run(test.name, func(t *testing.T) {
					test.run(&check{T: t, ctx: t.Context(), store: open(t)})
				})
			}
		})
	}
}

type namedTest struct {
	name string
	run  func(c *check)
}

// check is one test and its store.
type check struct {
	*testing.T
	ctx   context.Context
	store panel.Store
}

// noon is when everything happens here; microseconds are what a store keeps.
var noon = time.Date(2026, 6, 1, 12, 0, 0, 123456000, time.UTC)

const (
	someStudy   = "study-1"
	someSitting = "sitting-1"
)

// must ends the test when a call that has to succeed does not.
func (c *check) must(err error) {
	c.Helper()
	if err != nil {
		c.Fatalf("unexpected error: %v", err)
	}
}

// wantError checks that err is the error that the interface promises.
func (c *check) wantError(doing string, err, want error) {
	c.Helper()
	if !errors.Is(err, want) {
		c.Errorf("%s: error %v, want one that is %q", doing, err, want)
	}
}

// same compares what a store gave with what it should have.
func same[T any](c *check, what string, got, want T) {
	c.Helper()
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		c.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

// got unwraps a call that has to succeed: got(c)(c.store.Study(…)).
func got[T any](c *check) func(T, error) T {
	return func(value T, err error) T {
		c.Helper()
		c.must(err)
		return value
	}
}

// isUTC checks that a time came back in UTC: its zone shows on pages.
func (c *check) isUTC(what string, at time.Time) {
	c.Helper()
	if at.Location() != time.UTC {
		c.Errorf("%s came back in zone %v, want UTC", what, at.Location())
	}
}

func draft(id panel.StudyID) panel.Study {
	return panel.Study{ID: id, File: "cloche: 1\ntitle: Selleriecreme, crème brûlée, セロリ 🍮\n", Created: noon,
		Revision: 1, Series: id, Version: 1}
}

// happened is logged by what is no test of the log.
var happened = panel.Event{At: noon, StudyID: "elsewhere", Who: "lead", What: "happened"}

func seated(panel.Assessor) panel.Event { return happened }

// asRecorded takes a submission as the first answers, or keeps it aside after the close.
func asRecorded(st panel.Standing) (panel.Outcome, *panel.Event) {
	if st.Closed {
		return panel.AfterClose, nil
	}
	return panel.Recorded, nil
}

func someLock() panel.Lock {
	// The seed has its highest bit set: SQL's integers have a sign.
	return panel.Lock{At: noon.Add(time.Minute), Seed: 1<<63 + 5, Engine: 3, StudyHash: "5eed", PlanHash: "b1a2"}
}

// plan gives the turns of a study: a warm-up and rated servings, one at a time, for
// each place.
func plan(studyID panel.StudyID, sitting, firstPlace, places, rated int) []panel.Turn {
	var turns []panel.Turn
	for place := firstPlace; place < firstPlace+places; place++ {
		for order := 0; order <= rated; order++ {
			role := design.Rated
			if order == 0 {
				role = design.WarmUp
			}
			turns = append(turns, plated(panel.Turn{StudyID: studyID, Place: place, Order: order, Sitting: sitting,
				Role: role}, panel.Serving{
				Position: order, Role: role, Sample: study.SampleID(fmt.Sprintf("sample-%d", (place+order)%2)),
				Code: numbered(100 + place*(rated+1) + order)}))
		}
	}
	return turns
}

// plated names a turn by its place and order, and puts plates into it.
func plated(t panel.Turn, plates ...panel.Serving) panel.Turn {
	t.ID, t.Response = turnID(t.StudyID, t.Place, t.Order), study.Rate
	if len(plates) > 1 {
		t.Response = study.ChooseOne
	}
	for i, v := range plates {
		v.ID, v.TurnID, v.Order = plateID(t.ID, i), t.ID, i
		t.Servings = append(t.Servings, v)
	}
	return t
}

// laterTurn is one more turn of the first place, at a later sitting.
func laterTurn(sitting int) panel.Turn {
	return plated(panel.Turn{StudyID: someStudy, Place: 0, Order: 9, Sitting: sitting},
		panel.Serving{Position: 2, Sample: "s", Code: "999"})
}

func turnID(studyID panel.StudyID, place, order int) panel.TurnID {
	return panel.TurnID(fmt.Sprintf("%s/%d/%d", studyID, place, order))
}

// plateID is a plate of a turn, from 0.
func plateID(turn panel.TurnID, order int) panel.ServingID {
	return panel.ServingID(fmt.Sprintf("%s plate %d", turn, order))
}

// servingID is the one plate of a turn.
func servingID(studyID panel.StudyID, place, order int) panel.ServingID {
	return plateID(turnID(studyID, place, order), 0)
}

// locked makes a locked study of one sitting.
func (c *check) locked(places, rated int) {
	c.Helper()
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), plan(someStudy, 1, 0, places, rated), nil, happened))
}

// opened makes an open study of one sitting.
func (c *check) opened(places, rated int) {
	c.Helper()
	c.locked(places, rated)
	c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
}

func sitting(number int) panel.Sitting {
	return panel.Sitting{ID: panel.SittingID(fmt.Sprintf("sitting-%d", number)), StudyID: someStudy, Number: number,
		Join: panel.JoinToken(fmt.Sprintf("join-%d", number)), OpenedAt: noon.Add(time.Duration(number) * time.Hour)}
}

// newcomer is an assessor before the store has chosen a place.
func newcomer(n int) panel.Assessor {
	return panel.Assessor{ID: panel.AssessorID(fmt.Sprintf("assessor-%d", n)), StudyID: someStudy,
		SittingID: someSitting,
		JoinedAt:  noon.Add(2 * time.Hour)}
}

func token(n int) panel.TokenHash { return panel.TokenHash(fmt.Sprintf("token-%d", n)) }

// seat seats the nth newcomer.
func (c *check) seat(n int) panel.Assessor {
	c.Helper()
	return got[panel.Assessor](c)(c.store.Seat(c.ctx, newcomer(n), token(n), nil, seated))
}

// answers gives a value to each attribute; the second value of each differs
// between calls with a different n.
func answers(id panel.TurnID, n float64) []panel.Answer {
	plate := plateID(id, 0)
	return []panel.Answer{
		{ServingID: plate, Attribute: "salty", Value: 61.5 + n},
		{ServingID: plate, Attribute: "Zitrone", Value: 1.0 / 3},
		{ServingID: plate, Attribute: "ärger", Value: n},
	}
}
