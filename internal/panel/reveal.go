package panel

import (
	"context"
	"fmt"
	"strings"
	"time"

	"cloche/internal/design"
	"cloche/internal/study"
)

// MaxReason is the longest reason for breaking the blind, in characters.
const MaxReason = 500

// WrongPlate is the reason, or its beginning, that says that another plate reached the
// guest: its answers are then told apart in the report.
const WrongPlate = "The wrong plate reached a guest"

// Reveal notes that the blind was broken.
type Reveal struct {
	At         time.Time
	WrongPlate bool
}

// BreakBlind names the serving whose blind is broken, and why.
type BreakBlind struct {
	SittingID SittingID   // for the lead; kitchen has its own
	Code      design.Code // on the plate, or the one before it was dropped
	Seat      int         // label of the assessor; needed when several plates carry the code
	Reason    string      // at most [MaxReason] characters
}

// Revealed is one serving after its blind was broken.
type Revealed struct {
	Code design.Code
	Seat int // label of the assessor who has it
	Dish string
	Name string // lead only; "" when blind
	study.Contents
	At     time.Time
	Reason string
}

// BreakBlind opens the key for one serving, for safety, and at once: nothing is
// asked but the reason. The event is kept, the serving is marked and so are its
// ratings. By lead or kitchen while the study is open. [ErrReason] without a
// reason, [ErrNotFound] when no plate of a guest carries the code, [ErrAmbiguous]
// when several do and Seat is not given.
func (s *Service) BreakBlind(ctx context.Context, by Session, b BreakBlind) (Revealed, error) {
	if by.SittingID == "" {
		by.SittingID = b.SittingID
	}
	sitting, stored, err := s.at(ctx, by, ActBreakBlind)
	if err != nil {
		return Revealed{}, err
	}
	if b.Reason, err = reasonOf(b.Reason); err != nil {
		return Revealed{}, err
	}
	r, err := s.breakBlind(ctx, stored, sitting, by.Who(), b)
	if by.Role != RoleLead {
		r.Name = ""
	}
	return r, err
}

// breakBlind opens the key for one serving, and logs who did.
func (s *Service) breakBlind(ctx context.Context, stored Study, sitting Sitting, who string, b BreakBlind) (Revealed,
	error) {
	v, place, err := s.servingByCode(ctx, stored, sitting.Number, b.Code, b.Seat)
	if err != nil {
		return Revealed{}, err
	}
	now := s.now()
	e := s.event(stored.ID, who, "blind broken", fmt.Sprintf("sitting %d, %s, code %s: %s", sitting.Number,
		Assessor{Place: place}.nameInLog(), v.Code, b.Reason))
	if err := s.store.Reveal(ctx, v.ID, Reveal{now, strings.HasPrefix(b.Reason, WrongPlate)}, e); err != nil {
		return Revealed{}, fmt.Errorf("break the blind: %w", err)
	}
	s.changed(stored.ID)
	r := revealed(stored, v, place, now, b.Reason)
	r.Name = stored.Spec.NameText(v.Sample)
	return r, nil
}

// revealed is a serving whose blind was broken, without its name.
func revealed(stored Study, v Serving, place int, at time.Time, reason string) Revealed {
	r := Revealed{Code: v.Code, Seat: Assessor{Place: place}.Label(), At: at, Reason: reason}
	x, _ := stored.Spec.Sample(v.Sample)
	d, _ := stored.Spec.Dish(x.Dish)
	r.Dish, r.Contents = d.Title, d.Contents()
	return r
}

// servingByCode finds the serving of a seated assessor whose plate carries a code,
// or carried it before it was dropped, and the assessor's place.
func (s *Service) servingByCode(ctx context.Context, stored Study, sitting int, code design.Code, label int) (v Serving,
	place int, err error) {
	e, err := s.evening(ctx, stored)
	if err != nil {
		return Serving{}, 0, err
	}
	carried := map[ServingID]bool{}
	for _, d := range e.dropped {
		carried[d.ServingID] = carried[d.ServingID] || d.Code == code
	}
	var found []Serving
	for _, t := range e.at(sitting) {
		if label != 0 && t.assessor.Label() != label {
			continue
		}
		for _, x := range t.turns {
			for _, v := range x.Servings {
				if x.Sitting == sitting && (v.Code == code || carried[v.ID]) {
					found, place = append(found, v), x.Place
				}
			}
		}
	}
	switch len(found) {
	case 0:
		return Serving{}, 0, ErrNotFound
	case 1:
		return found[0], place, nil
	}
	return Serving{}, 0, ErrAmbiguous
}
