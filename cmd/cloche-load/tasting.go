package main

import (
	"context"
	"errors"
	"fmt"

	"cloche/internal/panel"
	"cloche/internal/store"
)

// loadStudy is an invented study for so many assessors.
const loadStudy = `cloche: 1
title: Invented, to measure how fast answers are taken
question: names
invented: true
dishes:
  - {id: custard, title: warm celeriac custard, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs, celery]}
names:
  - {id: brulee, text: celeriac crème brûlée}
  - {id: royale, text: celeriac royale}
  - {id: cream, text: set celeriac cream}
  - {id: flan, text: celeriac flan}
samples:
  - {id: A, dish: custard, name: brulee}
  - {id: B, dish: custard, name: royale}
  - {id: C, dish: custard, name: cream}
  - {id: D, dish: custard, name: flan}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all salty, extremely salty]}}
  - {id: liking, ask: How much do you like it?, scale: hedonic-9}
panel: {assessors: %d}
serving: {rinse: 0 s, plate gate: false, seed: 7, spare codes: 0, codes: sample}
texts:
  consent: I agree to taste four spoonfuls.
  instructions: Take a spoonful, then answer.
  thanks: That was all.
analysis: {compare: [A, B], attribute: salt}
`

// tasting is an open study that is tasted by a service.
type tasting struct {
	url   string // of the service
	study string // id
	join  string // token of the join link
	floor panel.StaffAccess

	tokens []string   // of the personal links, where phones are seated before
	turns  [][]string // the ids of what each has in front of it, in order
}

// openTasting makes the database, and gives every phone its place when seated.
func openTasting(ctx context.Context, dsn string, phones int, seated bool) (t *tasting, err error) {
	kept, err := store.Open(ctx, dsn)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, kept.Close()) }()
	svc, err := panel.New(ctx, kept, panel.Options{})
	if err != nil {
		return nil, err
	}
	t = &tasting{}
	if err := t.open(ctx, svc, phones); err != nil {
		return nil, err
	}
	if !seated {
		return t, nil
	}
	return t, t.seatGuests(ctx, svc, kept, phones)
}

func (t *tasting) open(ctx context.Context, svc *panel.Service, phones int) error {
	lead := panel.Session{Role: panel.RoleLead}
	if err := svc.SetPassword(ctx, "owner", boardPassword); err != nil {
		return err
	}
	stored, problems, err := svc.Upload(ctx, lead, "load.yaml", fmt.Appendf(nil, loadStudy, phones))
	if err != nil {
		return err
	}
	if len(problems) > 0 {
		return problems[0]
	}
	t.study = string(stored.ID)
	if err := svc.Lock(ctx, lead, stored.ID, stored.Revision); err != nil {
		return err
	}
	sitting, err := svc.OpenSitting(ctx, lead, stored.ID)
	if err != nil {
		return err
	}
	t.join = string(sitting.Join)
	staff, err := svc.StaffAccess(ctx, lead, sitting.ID)
	for _, x := range staff {
		if x.Role == panel.RoleFloor {
			t.floor = x
		}
	}
	return err
}

// seatGuests gives every phone its place and notes the turns of it, which a phone that was
// without network holds.
func (t *tasting) seatGuests(ctx context.Context, svc *panel.Service, kept *store.Store, phones int) error {
	for i := range phones {
		token, err := svc.Consent(ctx, panel.JoinToken(t.join), fmt.Sprint(i), panel.PhoneConsent{})
		if err != nil {
			return err
		}
		if err := svc.Start(ctx, token); err != nil {
			return err
		}
		t.tokens = append(t.tokens, string(token))
	}
	all, err := kept.AllTurns(ctx, panel.StudyID(t.study))
	t.turns = make([][]string, phones)
	for _, x := range all { // places are given in order
		t.turns[x.Place] = append(t.turns[x.Place], string(x.ID))
	}
	return err
}
