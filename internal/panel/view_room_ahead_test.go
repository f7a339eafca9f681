package panel_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// TestFloorHoldsLaterPlatesSealed: the phone of the floor holds later servings of
// each seat under the codes on their plates, all of one salt and one length.
func TestFloorHoldsLaterPlatesSealed(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "text: celeriac royale",
		"text: "+strings.Repeat("celeriac royale long told ", 7)+"x", 1))
	ctx := t.Context()
	for i := range 3 {
		n.guest(fmt.Sprint(i))
	}
	held := of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx, n.floor))
	if len(held.Seats) != 3 || len(held.In["en"].Asks[study.Rate]) != 2 {
		t.Fatalf("held: %+v", held)
	}
	salts, lengths := map[string]bool{}, map[int]bool{}
	for i, s := range held.Seats {
		now := held.Room.Seats[i].Next
		if len(s.Ahead) != 1 || s.Ahead[0].ID == now.ID || s.Ahead[0].Number != 2 {
			t.Fatalf("ahead of seat %d: %+v", i+1, s.Ahead)
		}
		code, inside := n.unseal(s.Ahead[0])
		var plate struct {
			ID     panel.TurnID
			Code   string
			Plates []struct{ Code, Name string }
		}
		n.must(json.Unmarshal(inside, &plate))
		if plate.ID != s.Ahead[0].ID || plate.Code != code || len(plate.Plates) != 1 ||
			plate.Plates[0].Name == now.Plates[0].Name || plate.Plates[0].Name == "" {
			t.Errorf("inside %+v, beside %+v", plate, now)
		}
		salts[string(s.Ahead[0].Salt)], lengths[len(s.Ahead[0].Box)] = true, true
	}
	if len(salts) != 1 || len(lengths) != 1 {
		t.Errorf("%d salts and %d lengths, want one of each", len(salts), len(lengths))
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	if held = of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx, n.floor)); len(held.Seats) != 0 {
		t.Errorf("after close the phone holds %+v", held.Seats)
	}
	n.wantError("kitchen", last(n.svc.RoomAhead(ctx, n.kitchen)), panel.ErrRefused)
}

// TestActsOfAPhoneCountOnce sends acts as a phone without network does: twice, late
// and out of turn.
func TestActsOfAPhoneCountOnce(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "seed: 7}", "seed: 7, spare codes: 2}", 1))
	ctx := t.Context()
	token := n.guest("one")
	first, second := n.seat(1).Next, of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx, n.floor)).Seats[0].Ahead[0].ID
	once := func(id string) panel.PhoneAct { return panel.PhoneAct{ID: id, Code: first.Code} }

	n.must(n.svc.Serve(ctx, n.floor, first.ID, once("served")))
	n.must(n.svc.TakeBack(ctx, n.floor, first.ID, once("back")))
	n.wantError("served again", n.svc.Serve(ctx, n.floor, first.ID, once("served")), panel.ErrRepeated)
	if n.seat(1).Next.Served {
		t.Error("an act that came again was taken again")
	}
	n.wantError("serve out of turn", n.svc.Serve(ctx, n.floor, second, panel.PhoneAct{ID: "early"}), panel.ErrNotYet)
	fresh := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, first.Plates[0].ID, once("dropped")))
	n.wantError("dropped again", last(n.svc.Drop(ctx, n.floor, first.Plates[0].ID, once("dropped"))), panel.ErrRepeated)
	n.wantError("dropped by another phone", last(n.svc.Drop(ctx, n.floor, first.Plates[0].ID, once("another"))),
		panel.ErrOtherCode)
	n.wantError("serve under the old code", n.svc.Serve(ctx, n.floor, first.ID, once("old")), panel.ErrOtherCode)
	if now := n.seat(1).Next; now.Plates[0].Code != fresh.Code {
		t.Errorf("the plate carries %s, want %s", now.Code, fresh.Code)
	}

	n.taste(token)
	n.must(n.svc.Serve(ctx, n.floor, first.ID, once("late")))
	n.wantLogged("floor 1: served: assessor 1, serving 1, code " + string(fresh.Code) + ", told after it was rated")
	n.wantError("late again", n.svc.Serve(ctx, n.floor, first.ID, once("late")), panel.ErrRepeated)
	n.wantError("a rinse of before", n.svc.CutRinse(ctx, n.floor, n.seat(1).ID, 0, panel.PhoneAct{ID: "rinse"}),
		panel.ErrOverAlready)
	n.must(n.svc.Leave(ctx, n.floor, n.seat(1).ID, panel.PhoneAct{ID: "left"}))
	n.must(n.svc.Return(ctx, n.floor, n.seat(1).ID, panel.PhoneAct{ID: "here"}))
	n.wantError("left again", n.svc.Leave(ctx, n.floor, n.seat(1).ID, panel.PhoneAct{ID: "left"}), panel.ErrRepeated)
	n.wantError("a long id", n.svc.Leave(ctx, n.floor, n.seat(1).ID, panel.PhoneAct{ID: strings.Repeat("x", 65)}),
		panel.ErrBadValue)
}

// TestAPlateAheadIsDroppedByItsCode: the guest's phone is further on than the
// service knows.
func TestAPlateAheadIsDroppedByItsCode(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "seed: 7}", "seed: 7, spare codes: 2}", 1))
	ctx := t.Context()
	n.guest("one")
	sealed := of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx, n.floor)).Seats[0].Ahead[0]
	code, _ := n.unseal(sealed)
	seat := n.seat(1).ID
	n.wantError("another code", last(n.svc.DropCode(ctx, n.floor, seat, panel.PhoneAct{Code: "111"})),
		panel.ErrOtherCode)
	fresh := of[design.Code](n)(n.svc.DropCode(ctx, n.floor, seat, panel.PhoneAct{ID: "a",
		Code: panel.PlateCodes(code)}))
	if now, _ := n.unseal(of[panel.RoomAhead](n)(n.svc.RoomAhead(ctx,
		n.floor)).Seats[0].Ahead[0]); string(fresh) == code ||
		now != string(fresh) {
		t.Errorf("%s was dropped, the new code is %s, the plate carries %s", code, fresh, now)
	}
	n.wantError("again", last(n.svc.DropCode(ctx, n.floor, seat, panel.PhoneAct{ID: "a",
		Code: panel.PlateCodes(code)})),
		panel.ErrRepeated)
	n.wantLogged("floor 1: dropped: assessor 1, serving 2, code " + code)
}
