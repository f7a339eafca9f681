package panel_test

import (
	"fmt"
	"sync"
	"testing"
	"time"

	"cloche/internal/panel"
)

func TestStaffJoinWithACode(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	access := of[[]panel.StaffAccess](n)(n.svc.StaffAccess(ctx, n.lead, n.sitting.ID))
	if len(access) != 2 || access[0].Role != panel.RoleKitchen || access[1].Role != panel.RoleFloor ||
		access[0].Link == access[1].Link || access[1].Joined != 1 {
		t.Fatalf("access = %+v, want kitchen and floor by links of their own, joined once", access)
	}
	floor := access[1]
	if len(floor.Code) != 6 {
		t.Errorf("code %q has not six digits", floor.Code)
	}
	w := of[panel.StaffWelcome](n)(n.svc.StaffWelcome(ctx, floor.Link))
	if w != (panel.StaffWelcome{Role: panel.RoleFloor, Sitting: 1, Stand: panel.StandOpen}) {
		t.Errorf("welcome = %+v", w)
	}
	_, second, err := n.svc.JoinStaff(ctx, floor.Link, " "+floor.Code[:3]+" "+floor.Code[3:], "phone")
	n.must(err)
	if second.Who() != "floor 2" || n.floor.Who() != "floor 1" || second.SittingID != n.sitting.ID {
		t.Errorf("sessions %+v and %+v, want floor 1 and floor 2", n.floor, second)
	}
	n.wantLogged("floor 2: joined: sitting 1")
	if _, _, err := n.svc.JoinStaff(ctx, "nothing", floor.Code, "phone"); !isError(err, panel.ErrNotFound) {
		t.Errorf("unknown link: %v", err)
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	if _, _, err := n.svc.JoinStaff(ctx, floor.Link, floor.Code, "phone"); !isError(err, panel.ErrNotOpen) {
		t.Errorf("after close: %v", err)
	}
}

func TestRenewingACodeEndsItsSessions(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	old := of[[]panel.StaffAccess](n)(n.svc.StaffAccess(ctx, n.lead, n.sitting.ID))
	floorToken, _, err := n.svc.JoinStaff(ctx, old[1].Link, old[1].Code, "phone")
	n.must(err)
	kitchenToken, _, err := n.svc.JoinStaff(ctx, old[0].Link, old[0].Code, "tablet")
	n.must(err)
	fresh := of[panel.StaffAccess](n)(n.svc.RenewAccess(ctx, n.lead, n.sitting.ID, panel.RoleFloor))
	if fresh.Link == old[1].Link || fresh.Code == old[1].Code {
		t.Errorf("renewed from %+v to %+v, want another link and another code", old[1], fresh)
	}
	n.wantError("session of the old code", last(n.svc.Session(ctx, floorToken)), panel.ErrNotFound)
	n.wantError("session of the kitchen", last(n.svc.Session(ctx, kitchenToken)), nil)
	_, _, err = n.svc.JoinStaff(ctx, old[1].Link, old[1].Code, "phone")
	n.wantError("the old link", err, panel.ErrNotFound)
	_, _, err = n.svc.JoinStaff(ctx, fresh.Link, fresh.Code, "phone")
	n.wantError("the new code", err, nil)
	n.wantLogged("lead: link and code renewed: floor, sitting 1")
	for _, r := range []panel.Role{panel.RoleLead, panel.RoleAssessor, panel.RoleNobody} {
		n.wantError("renew "+r.String(), last(n.svc.RenewAccess(ctx, n.lead, n.sitting.ID, r)), panel.ErrNotFound)
	}
}

// TestGuessingCodesIsSlow guesses at once from one address, of which one guess is
// judged, and from many: after a few of its own each waits for the others too.
func TestGuessingCodesIsSlow(t *testing.T) {
	n := newNight(t, custard)
	ctx := t.Context()
	access := of[[]panel.StaffAccess](n)(n.svc.StaffAccess(ctx, n.lead, n.sitting.ID))
	wrong := panel.StaffCode("000000")
	if access[1].Code == wrong {
		wrong = "000001"
	}
	guess := func(link panel.StaffToken, code panel.StaffCode, from string) error {
		_, _, err := n.svc.JoinStaff(ctx, link, code, from)
		return err
	}
	errs := make([]error, 20)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() { errs[i] = guess(access[1].Link, wrong, fmt.Sprintf("2001:db8::%x", i)) })
	}
	all.Wait()
	tried := 0
	for _, err := range errs {
		if isError(err, panel.ErrCode) {
			tried++
			continue
		}
		n.wantError("guess", err, panel.ErrSlowDown)
	}
	if tried != 1 {
		t.Errorf("%d guesses of one network at one moment were judged, want 1", tried)
	}
	// An address is slowed on every link, and keeps nobody else out.
	n.wantError("from that network on the kitchen's link", guess(access[0].Link, access[0].Code, "2001:db8::ffff"),
		panel.ErrSlowDown)
	n.wantError("a network beside it", guess(access[1].Link, access[1].Code, "2001:db8:0:1::1"), nil)

	// Many addresses: three guesses each, then no faster than one.
	tried = 0
	for range 6 {
		for i := range 20 {
			if isError(guess(access[1].Link, wrong, fmt.Sprint("10.0.0.", i)), panel.ErrCode) {
				tried++
			}
		}
		n.clock.pass(10 * time.Second)
	}
	if tried > 3*20+1 {
		t.Errorf("%d guesses from 20 addresses within a minute", tried)
	}
	n.wantError("the staff meanwhile", guess(access[1].Link, access[1].Code, "10.0.1.1"), nil)
	n.wantError("the staff after a slip", guess(access[1].Link, wrong, "10.0.1.2"), panel.ErrCode)
	n.clock.pass(time.Second)
	n.wantError("the staff a second later", guess(access[1].Link, access[1].Code, "10.0.1.2"), nil)
}
