package panel_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"cloche/internal/design"
	"cloche/internal/panel"
)

func isError(err, want error) bool { return errors.Is(err, want) && (want != nil || err == nil) }

// TestRightsAreThoseOfTheTable compares the rights with who may know what, and when,
// written out by hand for each state.
func TestRightsAreThoseOfTheTable(t *testing.T) {
	const no, all, counts, own, debrief = panel.Nothing, panel.Whole, panel.Counts, panel.OwnPart, panel.IfDebrief
	type row [4]panel.Extent // draft, locked, open, closed
	always := func(e panel.Extent) row { return row{e, e, e, e} }
	closed := func(e panel.Extent) row { return row{no, no, no, e} }
	open := func(e panel.Extent) row { return row{no, no, e, no} }
	roles := []panel.Role{panel.RoleNobody, panel.RoleLead, panel.RolePartner, panel.RoleKitchen, panel.RoleFloor,
		panel.RoleAssessor, panel.RoleTablet, panel.RoleMonitor, panel.RoleNamed}
	table := []struct {
		name string
		of   panel.Knowledge
		rows [9]row // in the order of roles
	}{
		{"question and hypothesis", panel.KnowQuestion, [9]row{{}, always(all), always(all), {}, {},
			closed(debrief), {}, always(all)}},
		{"dish behind a code", panel.KnowKey, [9]row{{}, closed(all), closed(all), open(all), {}, {}, {}, closed(all)}},
		{"name of a serving", panel.KnowName, [9]row{{}, closed(all), closed(all), {}, open(own), open(own), {},
			closed(all)}},
		{"ratings by sample", panel.KnowRatings, [9]row{{}, closed(all), closed(all), {}, {}, {}, {}, closed(all)}},
		{"progress", panel.KnowProgress, [9]row{{}, always(all), always(all), always(counts), always(own),
			always(own), {}, always(all)}},
		{"how well each assessor does", panel.KnowAssessors, [9]row{{}, closed(all), {}, {}, {}, {}}},
		{"what planned looks showed", panel.KnowLooks, [9]row{{}, closed(all), {panel.Nothing, panel.Nothing, all, all},
			{}, {}, {}}},
		{"allergens", panel.KnowAllergens, [9]row{{}, always(all), always(all), always(all), always(all), always(all),
			{}, always(all)}},
	}
	for _, line := range table {
		for i, role := range roles {
			for state := panel.Draft; state <= panel.Closed; state++ {
				if got, want := panel.May(role, line.of, state), line.rows[i][state]; got != want {
					t.Errorf("%s, %s, %s study: %d, want %d", role, line.name, state, got, want)
				}
			}
		}
	}
	if panel.May(panel.RoleLead, panel.KnowKey, panel.Closed+1) != no ||
		panel.May(panel.RoleLead, panel.KnowKey, -1) != no {
		t.Error("a state that does not exist gives a right")
	}
}

// contains reports whether word is one of words, which spaces part.
func contains(words, word string) bool { return slices.Contains(strings.Fields(words), word) }

// TestEveryRoleIsRefusedWhatIsNotItsOwn tries every method for staff with every
// session that should not get in.
func TestEveryRoleIsRefusedWhatIsNotItsOwn(t *testing.T) {
	n := newNight(t, custard)
	n.guest("one")
	seat := n.seat(1)
	ctx := t.Context()
	calls := []struct {
		name  string
		roles string
		call  func(by panel.Session) error
	}{
		{"see users", "lead", func(by panel.Session) error { return last(n.svc.Users(ctx, by)) }},
		{"add a user", "", func(by panel.Session) error {
			_, _, err := n.svc.AddUser(ctx, by, "Ada", panel.RoleLead)
			return err
		}},
		{"staff access", "lead", func(by panel.Session) error {
			return last(n.svc.StaffAccess(ctx, by, n.sitting.ID))
		}},
		{"log", "lead partner monitor", func(by panel.Session) error { return last(n.svc.Log(ctx, by, n.study)) }},
		{"live", "lead partner monitor kitchen floor", func(by panel.Session) error {
			return last(n.svc.Live(ctx, by, n.study))
		}},
		{"room", "floor", func(by panel.Session) error { return last(n.svc.Room(ctx, by)) }},
		{"consent text", "floor", func(by panel.Session) error { return last(n.svc.ConsentText(ctx, by)) }},
		{"seat a guest", "floor", func(by panel.Session) error {
			return last(n.svc.SeatGuest(ctx, by, "g", panel.GuestConsent{AllergensRead: true, ConsentRead: true}))
		}},
		{"note that a guest said no", "floor", func(by panel.Session) error {
			return n.svc.GuestSaidNo(ctx, by, "no", panel.NoTime)
		}},
		{"note a seat", "floor", func(by panel.Session) error {
			return n.svc.SetSeat(ctx, by, seat.ID, "4", panel.PhoneAct{})
		}},
		{"cut a rinse", "floor", func(by panel.Session) error {
			if err := n.svc.CutRinse(ctx, by, seat.ID, 1, panel.PhoneAct{}); !errors.Is(err, panel.ErrOverAlready) {
				return err
			}
			return nil // may, and none runs
		}},
		{"serve", "floor", func(by panel.Session) error {
			return n.svc.Serve(ctx, by, seat.Next.ID, panel.PhoneAct{})
		}},
		{"drop", "floor", func(by panel.Session) error {
			return last(n.svc.Drop(ctx, by, seat.Next.Plates[0].ID, panel.PhoneAct{}))
		}},
		{"questions", "floor", func(by panel.Session) error {
			return last(n.svc.FloorBallot(ctx, by, seat.Next.ID, ""))
		}},
		{"sheet", "kitchen", func(by panel.Session) error { return last(n.svc.KitchenSheet(ctx, by)) }},
		{"temperature", "kitchen", func(by panel.Session) error {
			return last(n.svc.LogTemperature(ctx, by, panel.Temperature{Wave: 1, Dish: "canarydish", Celsius: 64}))
		}},
		{"break the blind", "lead kitchen", func(by panel.Session) error {
			return last(n.svc.BreakBlind(ctx, by, panel.BreakBlind{SittingID: n.sitting.ID, Seat: 1,
				Code: design.Code(n.seat(1).Next.Code), Reason: "rash"}))
		}},
		{"photo", "lead partner monitor kitchen", func(by panel.Session) error {
			_, err := n.svc.Photo(ctx, by, n.study, "canarydish")
			if isError(err, panel.ErrNotFound) { // there is none, and that may be known
				return nil
			}
			return err
		}},
		{"countersign", "partner", func(by panel.Session) error {
			return n.svc.Countersign(ctx, by, n.study, "R. Öst")
		}},
		{"note an export", "lead partner", func(by panel.Session) error {
			return n.svc.NoteExport(ctx, by, of[panel.Study](n)(n.svc.Study(ctx, n.study)))
		}},
		{"renew", "lead", func(by panel.Session) error {
			return last(n.svc.RenewAccess(ctx, by, n.sitting.ID, panel.RoleFloor))
		}},
	}
	sessions := []panel.Session{{}, n.lead, {Role: panel.RolePartner}, {Role: panel.RoleMonitor},
		{Role: panel.RoleNamed}, n.kitchen, n.floor,
		{Role: panel.RoleAssessor, StudyID: n.study, SittingID: n.sitting.ID},
		{Role: panel.RoleTablet, StudyID: n.study, SittingID: n.sitting.ID, Seat: seat.ID}}
	for _, c := range calls {
		for _, by := range sessions {
			want := panel.ErrRefused
			if contains(c.roles, by.Role.String()) {
				want = nil
			}
			n.wantError(c.name+" by "+by.Role.String(), c.call(by), want)
		}
	}
}

// last drops a value, to look at the error alone.
func last[T any](_ T, err error) error { return err }

// TestStaffOfOneSittingSeesNoOther tries floor and kitchen of one study on another.
func TestStaffOfOneSittingSeesNoOther(t *testing.T) {
	n := newNight(t, custard)
	n.guest("one")
	seat := n.seat(1)
	other, problems, err := n.svc.Upload(t.Context(), byLead, "other.yaml", []byte(custard))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	mine := n.study
	n.study = other.ID
	n.must(n.svc.Lock(t.Context(), byLead, n.study, 1))
	elsewhere, kitchen, floor := n.open()
	ctx := t.Context()
	n.wantError("board of another study", last(n.svc.Live(ctx, floor, mine)), panel.ErrRefused)
	n.wantError("kitchen's board of another study", last(n.svc.Live(ctx, kitchen, mine)), panel.ErrRefused)
	n.wantError("serve elsewhere", n.svc.Serve(ctx, floor, seat.Next.ID, panel.PhoneAct{}), panel.ErrNotFound)
	n.wantError("leave elsewhere", n.svc.Leave(ctx, floor, seat.ID, panel.PhoneAct{}), panel.ErrNotFound)
	n.wantError("drop elsewhere", last(n.svc.Drop(ctx, floor, seat.Next.Plates[0].ID, panel.PhoneAct{})),
		panel.ErrNotFound)
	n.wantError("enter elsewhere", last(n.svc.Enter(ctx, floor, panel.Submission{ID: "x", TurnID: seat.Next.ID})),
		panel.ErrNotFound)
	n.wantError("break elsewhere", last(n.svc.BreakBlind(ctx, kitchen,
		panel.BreakBlind{SittingID: n.sitting.ID, Code: design.Code(seat.Next.Code), Reason: "rash"})),
		panel.ErrNotFound)
	if room := of[panel.Room](n)(n.svc.Room(ctx, floor)); len(room.Seats) != 0 || elsewhere.ID == n.sitting.ID {
		t.Errorf("the other room has %d seats", len(room.Seats))
	}
}
