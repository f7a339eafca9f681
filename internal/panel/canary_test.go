package panel_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

const (
	nameA, nameB = "celeriac crème brûlée", "celeriac royale"
	seatNote     = "CANARY-SEAT"
)

// forbidden are the strings that a view may not hold.
type forbidden struct {
	n     *night
	words []string
}

func (f forbidden) in(what string, v any, allowed ...string) {
	f.n.t.Helper()
	text := fmt.Sprintf("%+v", v)
	for _, w := range f.words {
		if slices.Contains(allowed, w) {
			continue
		}
		if strings.Contains(strings.ToLower(text), strings.ToLower(w)) {
			f.n.t.Errorf("%s holds %q: %s", what, w, text)
		}
	}
}

// TestNoViewHoldsWhatItsRoleMayNotKnow walks a whole evening and reads every view
// of every role at every step.
func TestNoViewHoldsWhatItsRoleMayNotKnow(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	hidden := []string{"CANARY-TITLE", "CANARY-HYPOTHESIS", "canaryA", "canaryB"}
	floor := forbidden{n, append([]string{"CANARY-DISH", "canarydish", nameA, nameB}, hidden...)}
	kitchen := forbidden{n, append([]string{nameA, nameB, seatNote}, hidden...)}
	lead := forbidden{n, []string{"CANARY-DISH", "canarydish", "canaryA", "canaryB", nameA, nameB}}
	token := n.guest("one")
	n.must(n.svc.SetSeat(ctx, n.floor, n.seat(1).ID, seatNote, panel.PhoneAct{}))
	look := func(step string) {
		t.Helper()
		room := n.room()
		var said []string
		for _, s := range room.Seats {
			for _, p := range s.Next.Plates {
				said = append(said, p.Name)
			}
		}
		floor.in(step+": room", room, said...)
		floor.in(step+": floor's board", of[panel.Live](n)(n.svc.Live(ctx, n.floor, n.study)))
		floor.in(step+": texts", of[panel.GuestTexts](n)(n.svc.ConsentText(ctx, n.floor)))
		kitchen.in(step+": sheet", of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen)))
		kitchen.in(step+": kitchen's board", of[panel.Live](n)(n.svc.Live(ctx, n.kitchen, n.study)))
		lead.in(step+": board", of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)))
		lead.in(step+": log", of[panel.CheckedLog](n)(n.svc.Log(ctx, n.lead, n.study)).Entries)
		floor.in(step+": sealed", of[panel.Held](n)(n.svc.Ahead(ctx, token)).Ahead)
		floor.in(step+": held by floor", of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx, n.floor)), said...)
		b := ballot(t, n.svc, token)
		floor.in(step+": ballot", b, b.Turn.Name)
	}
	look("begun")
	for _, a := range of[[]panel.StaffAccess](n)(n.svc.StaffAccess(ctx, n.lead, n.sitting.ID)) {
		floor.in("staff link", a)
		floor.in("staff welcome", of[panel.StaffWelcome](n)(n.svc.StaffWelcome(ctx, a.Link)))
	}
	first := n.seat(1).Next
	questions := of[panel.BallotTurn](n)(n.svc.FloorBallot(ctx, n.floor, first.ID, ""))
	floor.in("questions", questions, questions.Name)
	n.must(n.svc.Serve(ctx, n.floor, first.ID, panel.PhoneAct{}))
	look("served")
	dropped := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, first.Plates[0].ID, panel.PhoneAct{}))
	floor.in("dropped", dropped, dropped.Name)
	look("dropped")
	of[[]string](n)(n.svc.LogTemperature(ctx, n.kitchen, panel.Temperature{Wave: 1, Dish: "canarydish", Celsius: 64}))
	of[panel.Revealed](n)(n.svc.BreakBlind(ctx, n.lead,
		panel.BreakBlind{SittingID: n.sitting.ID, Code: dropped.Code, Reason: "rash"}))
	look("blind broken")
	n.taste(token)
	look("rinsing")
	floor.in("receipt", n.submit(token, panel.Submission{ID: "again", TurnID: first.ID}, "51"))
	held := of[panel.BallotTurn](n)(n.svc.Correctable(ctx, token))
	floor.in("correction", held, held.Name)
	n.clock.pass(time.Minute)
	look("second serving")
	n.must(n.svc.Refuse(ctx, n.floor, n.seat(1).Next.ID, panel.PhoneAct{}))
	look("done")
	n.must(n.svc.Withdraw(ctx, token))
	look("withdrawn")
	n.guest("not done at the end")
	n.must(n.svc.Close(ctx, byLead, n.study))
	floor.in("room after close", n.room())
	if s := n.seat(2); s.State != panel.SeatStopped || s.Next.ID != "" {
		t.Errorf("after close floor sees %+v, want a seat that was stopped and no serving", s)
	}
	kitchen.in("sheet after close", of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen)))
	floor.in("sheet after close", of[panel.KitchenSheet](n)(n.svc.KitchenSheet(ctx, n.kitchen)))
}

// TestTheLogHoldsNoSecret looks for every link and code in it.
func TestTheLogHoldsNoSecret(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	token := n.guest("one")
	secrets := []string{string(token), string(n.sitting.Join), string(n.sitting.ID), string(n.seat(1).ID),
		string(n.seat(1).Next.ID),
		string(n.seat(1).Next.Plates[0].ID)}
	of[panel.StaffAccess](n)(n.svc.RenewAccess(ctx, n.lead, n.sitting.ID, panel.RoleFloor))
	for _, a := range of[[]panel.StaffAccess](n)(n.svc.StaffAccess(ctx, n.lead, n.sitting.ID)) {
		secrets = append(secrets, string(a.Code), string(a.Link))
	}
	_, invitation, err := n.svc.AddUser(ctx, byOwner, "Ada", panel.RolePartner)
	n.must(err)
	n.must(n.svc.AcceptInvitation(ctx, invitation, "a long pass phrase"))
	secrets = append(secrets, string(invitation), "a long pass phrase")
	n.taste(token)
	log := append(of[panel.CheckedLog](n)(n.svc.Log(ctx, n.lead, n.study)).Entries,
		of[panel.CheckedLog](n)(n.svc.Log(ctx, byOwner, "")).Entries...)
	n.wantError("a password for a name", last(n.svc.SignInAs(ctx, "a long pass phrase", "x", "desk")),
		panel.ErrPassword)
	log = append(log, of[panel.CheckedLog](n)(n.svc.Log(ctx, byOwner, "")).Entries...)
	if len(log) < 8 {
		t.Errorf("the log has only %d entries", len(log))
	}
	forbidden{n, secrets}.in("log", log)
}
