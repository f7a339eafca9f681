package panel_test

import (
	"testing"

	"cloche/internal/panel"
)

// lend opens the ballot of a seat on the house's tablet.
func (n *night) lend(seat panel.AssessorID) panel.SeatToken {
	n.t.Helper()
	code := of[panel.TabletCode](n)(n.svc.HandTablet(n.t.Context(), n.floor, seat))
	return of[panel.SeatToken](n)(n.svc.TakeTablet(n.t.Context(), code, "tablet"))
}

// noPhone seats a guest without a phone.
func (n *night) noPhone(nonce string) panel.FloorSeat {
	n.t.Helper()
	return of[panel.FloorSeat](n)(n.svc.SeatGuest(n.t.Context(), n.floor, nonce,
		panel.GuestConsent{AllergensRead: true, ConsentRead: true}))
}

// TestTheHousesTabletGoesFromGuestToGuest: the code opens one ballot, once, for a while; answers
// count as the guest's own; what was given back, taken back or handed on opens nothing.
func TestTheHousesTabletGoesFromGuestToGuest(t *testing.T) {
	n, ctx := newNight(t, custard), t.Context()
	one, two := n.noPhone("one"), n.noPhone("two")
	show := func(a panel.FloorSeat) panel.TabletCode {
		return of[panel.TabletCode](n)(n.svc.HandTablet(ctx, n.floor, a.ID))
	}
	code := show(one)
	if len(code) != 6 {
		t.Errorf("the code is %q", code)
	}
	first := of[panel.SeatToken](n)(n.svc.TakeTablet(ctx, code, "tablet"))
	_, err := n.svc.TakeTablet(ctx, code, "another")
	n.wantError("a second time", err, panel.ErrCode)
	if b := ballot(t, n.svc, first); b.Label != one.Label || !b.Lent {
		t.Errorf("the tablet shows %d, lent: %v", b.Label, b.Lent)
	}
	if s := n.seat(one.Label); !s.Lent || !s.Phone {
		t.Errorf("floor sees lent: %v, phone: %v", s.Lent, s.Phone)
	}
	n.taste(first)
	if s := n.seat(one.Label); s.Over != 1 {
		t.Errorf("%d servings are over", s.Over)
	}
	n.must(n.svc.GiveBack(ctx, first))
	_, err = n.svc.Ballot(ctx, first)
	n.wantError("after it was given back", err, panel.ErrNotFound)
	if s := n.seat(one.Label); s.Lent || s.Phone {
		t.Errorf("floor sees lent: %v, phone: %v after that", s.Lent, s.Phone)
	}
	n.must(n.svc.GiveBack(ctx, first))

	second := n.lend(two.ID)
	onOther := n.lend(two.ID) // on another tablet
	_, err = n.svc.Ballot(ctx, second)
	n.wantError("the tablet before", err, panel.ErrNotFound)
	_, err = n.svc.Submit(ctx, second, panel.Submission{ID: "late", TurnID: two.Next.ID})
	n.wantError("answers from there", err, panel.ErrNotFound)
	n.must(n.svc.TakeTabletBack(ctx, n.floor, two.ID))
	_, err = n.svc.Ballot(ctx, onOther)
	n.wantError("after floor took it back", err, panel.ErrNotFound)
	n.must(n.svc.TakeTabletBack(ctx, n.floor, two.ID))

	code = show(two)
	n.clock.pass(panel.HandTabletLasts)
	_, err = n.svc.TakeTablet(ctx, code, "later")
	n.wantError("too late", err, panel.ErrCode)
	onOther = n.lend(two.ID)
	n.must(n.svc.FreeSeat(ctx, n.floor, two.ID))
	_, err = n.svc.Ballot(ctx, onOther)
	n.wantError("of a place that was freed", err, panel.ErrNotFound)
	n.must(n.svc.GiveBack(ctx, onOther))

	last := n.lend(one.ID)
	n.clock.pass(panel.SessionLength)
	_, err = n.svc.Ballot(ctx, last)
	n.wantError("a day later", err, panel.ErrNotFound)
	n.wantLogged("floor 1: tablet handed to a guest: assessor 1")
	n.wantLogged("tablet: tablet taken back: assessor 1")
	n.wantLogged("floor 1: tablet taken back: assessor 2")
}

// TestOneDeviceIsNotTabletAndStaff: a guest never holds a device on which somebody of the house is
// signed in, and the tablet in a guest's hands lets nobody in; its link opens a ballot and no more.
func TestOneDeviceIsNotTabletAndStaff(t *testing.T) {
	n, ctx := newNight(t, custard), t.Context()
	one := n.noPhone("one")
	for _, by := range []panel.Session{n.lead, {Role: panel.RolePartner}, n.kitchen, n.floor,
		{Role: panel.RoleKitchen, StudyID: "another"}} {
		code := of[panel.TabletCode](n)(n.svc.HandTablet(ctx, n.floor, one.ID))
		_, err := n.svc.TakeTablet(ctx, code, "tablet", by)
		n.wantError("on the device of "+by.Who(), err, panel.ErrOtherRole)
		of[panel.SeatToken](n)(n.svc.TakeTablet(ctx, code, "tablet")) // the code was not used up
	}
	token := n.lend(one.ID)
	lent := of[panel.Session](n)(n.svc.Session(ctx, panel.SessionToken(token)))
	for _, a := range of[[]panel.StaffAccess](n)(n.svc.StaffAccess(ctx, n.lead, n.sitting.ID)) {
		_, _, err := n.svc.JoinStaff(ctx, a.Link, a.Code, "tablet", lent)
		n.wantError("the tablet as "+a.Role.String(), err, panel.ErrOtherRole)
	}
	_, err := n.svc.TakeOver(ctx, of[panel.HandOverToken](n)(n.svc.HandOver(ctx, n.floor)), lent)
	n.wantError("the tablet takes over", err, panel.ErrOtherRole)
	_, err = n.svc.Room(ctx, lent)
	n.wantError("the floor's list with the tablet's session", err, panel.ErrRefused)

	access := of[[]panel.StaffAccess](n)(n.svc.StaffAccess(ctx, n.lead, n.sitting.ID))
	session, _, err := n.svc.JoinStaff(ctx, access[1].Link, access[1].Code, "phone")
	n.must(err)
	_, err = n.svc.Ballot(ctx, panel.SeatToken(session))
	n.wantError("a ballot with the floor's session", err, panel.ErrNotFound)
	code := of[panel.TabletCode](n)(n.svc.HandTablet(ctx, n.floor, one.ID))
	_, err = n.svc.TakeOver(ctx, panel.HandOverToken(code))
	n.wantError("the tablet's code as a way to the floor", err, panel.ErrNotFound)
	_, err = n.svc.TakeTablet(ctx, "000000x", "guesser")
	n.wantError("a guess", err, panel.ErrCode)
	_, err = n.svc.TakeTablet(ctx, code, "guesser")
	n.wantError("right after it", err, panel.ErrSlowDown)
}
