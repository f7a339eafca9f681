package panel

import (
	"context"
	"fmt"
	"time"
)

// Incident is something that went wrong with what a turn served, as floor saw it. It is
// told apart in the report, and its answers count like all others.
type Incident string

// The incidents.
const (
	AteAnother  Incident = "wrong-plate"  // another plate reached the guest
	TastedEarly Incident = "tasted-early" // before it was to be tasted
	Talked      Incident = "talked"       // about what they tasted, before it was answered
	Spilt       Incident = "spilt"        // part of it was lost; the guest tasted the rest
	Unwell      Incident = "unwell"       // the guest felt unwell
)

// incidentWords are what log and data package call each, in the order in which floor
// chooses.
var incidentWords = []struct {
	Incident
	words string
}{
	{AteAnother, "a wrong plate was eaten"},
	{TastedEarly, "tasted too early"},
	{Talked, "talked about it before it was answered"},
	{Spilt, "part of it was spilt"},
	{Unwell, "the guest felt unwell"},
}

// Incidents lists all kinds, in the order in which floor chooses.
func Incidents() (all []Incident) {
	for _, x := range incidentWords {
		all = append(all, x.Incident)
	}
	return all
}

// Words say what happened; "" for a kind that there is not.
func (i Incident) Words() string {
	for _, x := range incidentWords {
		if x.Incident == i {
			return x.words
		}
	}
	return ""
}

// NotedIncident is an incident of a turn as it is kept.
type NotedIncident struct {
	TurnID TurnID
	What   Incident
	At     time.Time
	Who    string // of the staff
}

// NoteIncident notes that something went wrong with what a turn of floor's sitting serves,
// before its answers or after. A second time changes nothing but the log.
func (s *Service) NoteIncident(ctx context.Context, by Session, id TurnID, what Incident, o PhoneAct) error {
	return s.incident(ctx, by, id, what, o, true)
}

// TakeBackIncident takes that back.
func (s *Service) TakeBackIncident(ctx context.Context, by Session, id TurnID, what Incident, o PhoneAct) error {
	return s.incident(ctx, by, id, what, o, false)
}

func (s *Service) incident(ctx context.Context, by Session, id TurnID, what Incident, o PhoneAct, happened bool) error {
	sitting, stored, err := s.actAt(ctx, by, o)
	if err != nil {
		return err
	}
	if what.Words() == "" {
		return fmt.Errorf("%w: no such incident", ErrBadValue)
	}
	t, i, err := s.turnIn(ctx, sitting, stored, id)
	if err != nil {
		return err
	}
	if t.turns[i].reads() {
		return ErrNotFound // nothing is served
	}
	said := "incident"
	if !happened {
		said = "incident taken back"
	}
	e := s.event(stored.ID, by.Who(), said, t.called(i)+": "+what.Words())
	e.ActID = o.ID
	noted := NotedIncident{TurnID: id, What: what, At: e.At, Who: e.Who}
	if err := s.store.NoteIncident(ctx, noted, happened, e); err != nil {
		return fmt.Errorf("note an incident: %w", err)
	}
	s.changedAt(t)
	return nil
}

// incidentsOf are those of a turn, in the order in which floor chooses.
func (e evening) incidentsOf(id TurnID) (all []Incident) {
	for _, x := range incidentWords {
		for _, noted := range e.incidents {
			if noted.TurnID == id && noted.What == x.Incident {
				all = append(all, x.Incident)
			}
		}
	}
	return all
}

// rated is the turn with plates of a sitting that was answered last.
func (t seatState) rated(sitting int) (r FloorRated) {
	for i, x := range t.turns {
		if _, done := t.answered[x.ID]; done && !x.reads() && x.Sitting == sitting {
			r = FloorRated{ID: x.ID, Code: x.Key()}
			r.Number, _ = t.number(i)
		}
	}
	return r
}

// incidentsAt counts those of a sitting.
func (e evening) incidentsAt(sitting int) (n int) {
	for _, x := range e.plated(sitting) {
		n += len(e.incidentsOf(x.ID))
	}
	return n
}
