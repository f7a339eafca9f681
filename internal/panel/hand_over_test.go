package panel_test

import (
	"testing"

	"cloche/internal/panel"
)

// TestTheNextOfTheFloorTakesOver: the code lets one person in, for a while, and not on the
// kitchen's device; whoever showed it stays; the log says who showed the way.
func TestTheNextOfTheFloorTakesOver(t *testing.T) {
	n, ctx := newNight(t, custard), t.Context()
	show := func() panel.HandOverToken { return of[panel.HandOverToken](n)(n.svc.HandOver(ctx, n.floor)) }
	token := show()
	in := of[panel.SessionToken](n)(n.svc.TakeOver(ctx, token))
	next := of[panel.Session](n)(n.svc.Session(ctx, in))
	if next.Who() != "floor 2" || next.SittingID != n.sitting.ID {
		t.Errorf("the next one is %+v", next)
	}
	of[panel.Room](n)(n.svc.Room(ctx, n.floor))
	_, err := n.svc.TakeOver(ctx, token)
	n.wantError("a second time", err, panel.ErrNotFound)
	token = show()
	n.clock.pass(panel.HandOverLasts)
	_, err = n.svc.TakeOver(ctx, token)
	n.wantError("too late", err, panel.ErrNotFound)
	_, err = n.svc.TakeOver(ctx, show(), n.kitchen)
	n.wantError("on the kitchen's device", err, panel.ErrOtherRole)
	token = show()
	of[panel.StaffAccess](n)(n.svc.RenewAccess(ctx, n.lead, n.sitting.ID, panel.RoleFloor))
	_, err = n.svc.TakeOver(ctx, token)
	n.wantError("after the link was renewed", err, panel.ErrCode)
	n.wantLogged("floor 2: joined: sitting 1, shown the way by floor 1")
}
