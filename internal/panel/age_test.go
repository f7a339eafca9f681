package panel_test

import (
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/store"
)

// withAlcohol pours alcohol into the dish, and asks for an age if there is one.
func withAlcohol(age string) string {
	return strings.NewReplacer("also contains: [nutmeg]", "also contains: [nutmeg], alcohol: true", "{assessors: 4}",
		"{assessors: 4"+age+"}").Replace(custard)
}

func TestNobodyIsSeatedWhoseAgeIsNotConfirmed(t *testing.T) {
	for _, tc := range []struct {
		name, file string
		asked      panel.AgeAsked
	}{
		{"no alcohol", custard, panel.AgeAsked{}},
		{"alcohol", withAlcohol(", minimum age: 20"), panel.AgeAsked{Asked: true, Minimum: 20}},
		{"adults only", strings.Replace(custard, "{assessors: 4}", "{assessors: 4, minimum age: 18}", 1),
			panel.AgeAsked{Asked: true, Minimum: 18}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			n, ctx := newNight(t, tc.file), t.Context()
			if w := of[panel.Welcome](n)(n.svc.Welcome(ctx, n.sitting.Join)); w.Age != tc.asked {
				t.Errorf("welcome asks %+v, want %+v", w.Age, tc.asked)
			}
			if g := of[panel.GuestTexts](n)(n.svc.ConsentText(ctx, n.floor)); g.Age != tc.asked {
				t.Errorf("floor asks %+v, want %+v", g.Age, tc.asked)
			}
			wantPhone, wantFloor := error(nil), error(nil)
			if tc.asked.Asked {
				wantPhone, wantFloor = panel.ErrAge, panel.ErrNotRead
			}
			read := panel.GuestConsent{AllergensRead: true, ConsentRead: true}
			n.wantError("on a phone", last(n.svc.Consent(ctx, n.sitting.Join, "one", panel.PhoneConsent{})), wantPhone)
			n.wantError("by floor", last(n.svc.SeatGuest(ctx, n.floor, "two", read)), wantFloor)
			if tc.asked.Asked && len(n.room().Seats) != 0 {
				t.Error("somebody was seated whose age is not known")
			}
			read.OldEnough = true
			n.wantError("on a phone, of age", last(n.svc.Consent(ctx, n.sitting.Join, "one",
				panel.PhoneConsent{OldEnough: true})), nil)
			n.wantError("by floor, of age", last(n.svc.SeatGuest(ctx, n.floor, "two", read)), nil)
			if got := len(n.room().Seats); got != 2 {
				t.Errorf("%d seats, want 2", got)
			}
		})
	}
}

// A study that was locked before an age had to be asked is still read, and asks
// for the age of the law.
func TestAlcoholLockedWithoutAnAge(t *testing.T) {
	ctx := t.Context()
	kept, err := store.Open(ctx, filepath.Join(t.TempDir(), "old.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	}()
	svc, err := panel.New(ctx, kept, panel.Options{Now: (&clock{}).now, HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	if err := kept.CreateStudy(ctx, panel.Study{ID: "old", File: withAlcohol(""), Revision: 1, Series: "old",
		Version: 1}, "", panel.Event{}); err != nil {
		t.Fatal(err)
	}
	if err := kept.LockStudy(ctx, "old", 1, panel.Lock{Seed: 7}, nil, nil, panel.Event{}); err != nil {
		t.Fatal(err)
	}
	old, err := svc.Study(ctx, "old")
	if err != nil {
		t.Fatal(err)
	}
	if !old.Spec.AsksAge() || old.Spec.Panel.MinimumAge != 0 {
		t.Errorf("read %+v", old.Spec.Panel)
	}
}
