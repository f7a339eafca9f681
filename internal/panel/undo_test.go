package panel_test

import (
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

func TestARefusalIsTakenBack(t *testing.T) {
	n := newNight(t, custard)
	ctx, none := t.Context(), panel.PhoneAct{}
	token := n.guest("one")
	first := n.seat(1).Next
	n.wantError("take back what was not refused", n.svc.TakeBackRefusal(ctx, n.floor, first.ID, none),
		panel.ErrOverAlready)
	n.must(n.svc.Refuse(ctx, n.floor, first.ID, none))
	if s := n.seat(1); s.Before.ID != first.ID || s.Next.ID == first.ID {
		t.Fatalf("after a refusal %+v, want it to be taken back", s)
	}
	n.must(n.svc.TakeBackRefusal(ctx, n.floor, first.ID, none))
	n.wantLogged("floor 1: refusal taken back: assessor 1, serving 1, code " + string(first.Code))
	if s := n.seat(1); s.Next.ID != first.ID || s.Before.ID != "" {
		t.Errorf("after it was taken back %+v", s)
	}
	if b := ballot(t, n.svc, token); b.Turn.ID != first.ID {
		t.Errorf("the guest is asked for %+v", b.Turn)
	}
	n.must(n.svc.Refuse(ctx, n.floor, first.ID, none))
	n.must(n.svc.Serve(ctx, n.floor, n.seat(1).Next.ID, none))
	n.wantError("take back once the next is served", n.svc.TakeBackRefusal(ctx, n.floor, first.ID, none),
		panel.ErrOverAlready)
	n.must(n.svc.Refuse(ctx, n.floor, n.seat(1).Next.ID, none))
	last := n.seat(1)
	if last.State != panel.SeatFinished || last.Before.ID == "" {
		t.Fatalf("after both were refused %+v", last)
	}
	n.must(n.svc.TakeBackRefusal(ctx, n.floor, last.Before.ID, none))
	if b := ballot(t, n.svc, token); b.Stage != panel.StageServing {
		t.Errorf("the guest, who had finished by a refusal, is at stage %d", b.Stage)
	}
}

func TestADropIsTakenBack(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "seed: 7", "seed: 7, spare codes: 3", 1))
	ctx, none := t.Context(), panel.PhoneAct{}
	n.guest("one")
	first := n.seat(1).Next
	_, err := n.svc.TakeBackDrop(ctx, n.floor, first.Plates[0].ID, none)
	n.wantError("take back what was not dropped", err, panel.ErrOverAlready)
	n.must(n.svc.Serve(ctx, n.floor, first.ID, none))
	fresh := of[panel.FloorPlate](n)(n.svc.Drop(ctx, n.floor, first.Plates[0].ID, none))
	if s := n.seat(1); s.Next.Plates[0].Was != first.Plates[0].Code || s.Next.Plates[0].Code != fresh.Code ||
		s.State != panel.SeatWaiting {
		t.Fatalf("after a drop %+v", s)
	}
	back := of[panel.FloorPlate](n)(n.svc.TakeBackDrop(ctx, n.floor, first.Plates[0].ID,
		panel.PhoneAct{ID: "x", Code: panel.PlateCodes(fresh.Code)}))
	if s := n.seat(1); back.Code != first.Plates[0].Code || s.Next.Code != first.Code ||
		s.Next.Plates[0].Was != "" || s.State != panel.SeatTasting {
		t.Errorf("after it was taken back %+v", s)
	}
	n.wantError("again", last(n.svc.TakeBackDrop(ctx, n.floor, first.Plates[0].ID,
		panel.PhoneAct{ID: "x", Code: panel.PlateCodes(fresh.Code)})), panel.ErrRepeated)
	if live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)); live.Sittings[0].Dropped != 0 {
		t.Errorf("%d plates count as dropped", live.Sittings[0].Dropped)
	}
	// The kitchen may have plated under the spare code: it belongs to no other plate,
	// and who is unwell after eating from it is helped by it.
	for _, code := range of[panel.CodeLabels](n)(n.svc.CodeLabels(ctx, n.kitchen)).Spares {
		if code == fresh.Code {
			t.Error("the spare code waits for another plate")
		}
	}
	broken := of[panel.Revealed](n)(n.svc.BreakBlind(ctx, n.kitchen,
		panel.BreakBlind{SittingID: n.sitting.ID, Code: fresh.Code, Reason: "rash"}))
	if broken.Seat != 1 {
		t.Errorf("the spare code belongs to seat %d", broken.Seat)
	}
}

func TestTheGuestsPhoneHearsOfItsSeat(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "seed: 7", "seed: 7, spare codes: 3", 1))
	ctx, none := t.Context(), panel.PhoneAct{}
	token, other := n.guest("one"), n.guest("two")
	changed, stop, err := n.svc.WatchSeat(ctx, token)
	n.must(err)
	defer stop()
	heard := func() bool {
		select {
		case <-changed:
			return true
		default:
			return false
		}
	}
	n.taste(other)
	if heard() {
		t.Error("one phone hears what another one does")
	}
	n.must(last(n.svc.Drop(ctx, n.floor, n.seat(1).Next.Plates[0].ID, none)))
	if !heard() {
		t.Error("the phone does not hear that its plate was dropped")
	}
	n.must(n.svc.Refuse(ctx, n.floor, n.seat(1).Next.ID, none))
	if !heard() {
		t.Error("the phone does not hear of a refusal")
	}
	_, _, err = n.svc.WatchSeat(ctx, "nobody")
	n.wantError("the phone of nobody", err, panel.ErrNotFound)
}

func TestRatingsWithoutAPlateAreSaid(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	token := n.guest("one")
	n.must(n.svc.Serve(ctx, n.floor, n.seat(1).Next.ID, panel.PhoneAct{}))
	n.taste(token)
	n.clock.pass(time.Minute)
	second := n.seat(1).Next
	n.taste(token)
	count := func() int {
		return of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Sittings[0].NotSetDown
	}
	if got := count(); got != 1 {
		t.Errorf("%d servings count as rated without a plate, want 1", got)
	}
	third := n.guest("two")
	fourth := n.seat(2).Next
	n.taste(third)
	n.must(n.svc.Serve(ctx, n.floor, fourth.ID, panel.PhoneAct{ID: "late", Code: fourth.Code}))
	if got := count(); got != 1 {
		t.Errorf("%d, after floor's phone told of the other plate later; want 1", got)
	}
	for _, r := range n.closed().Answers {
		if r.NotSetDown != (r.Code == second.Plates[0].Code) {
			t.Errorf("rating of %s: not set down %v, want that of %s alone", r.Code, r.NotSetDown, second.Code)
		}
	}
	_, found, err := n.svc.Findings(ctx, n.study)
	n.must(err)
	said := ""
	for _, w := range found.Warnings {
		if w.Code == "not-set-down" {
			said = w.Text
		}
	}
	if !strings.HasPrefix(said, "1 of the 3 servings were rated although no plate") {
		t.Errorf("the report says %q", said)
	}
}

func TestOneDeviceSeesOneHalfOfTheKey(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	for _, a := range of[[]panel.StaffAccess](n)(n.svc.StaffAccess(ctx, n.lead, n.sitting.ID)) {
		other := map[panel.Role]panel.Session{panel.RoleKitchen: n.floor, panel.RoleFloor: n.kitchen}[a.Role]
		_, _, err := n.svc.JoinStaff(ctx, a.Link, a.Code, "pass", other)
		n.wantError("join as both", err, panel.ErrOtherRole)
		n.wantLogged(a.Role.String() + ": join refused: sitting 1, on the device of " + other.Who())
		other.StudyID = "another"
		n.must(func() error { _, _, err := n.svc.JoinStaff(ctx, a.Link, a.Code, "pass", other); return err }())
		n.must(func() error { _, _, err := n.svc.JoinStaff(ctx, a.Link, a.Code, "pass", n.lead); return err }())
		n.wantLogged(a.Role.String() + " 3: joined: sitting 1, on a device signed in as lead")
	}
}
