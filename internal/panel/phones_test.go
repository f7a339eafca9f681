package panel_test

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"cloche/internal/panel"
)

// TestTwoHundredPhonesAtOnce lets 200 phones join 180 places and taste, each
// sending everything twice, while floor, kitchen and lead look on.
func TestTwoHundredPhonesAtOnce(t *testing.T) {
	n := newNight(t, strings.Replace(three, "panel: {assessors: 6}\nserving: {rinse: 30 s",
		"panel: {assessors: 180}\nserving: {rinse: 0 s", 1))
	ctx := t.Context()
	var phones, staff sync.WaitGroup
	var mu sync.Mutex
	full := 0
	for i := range 200 {
		phones.Go(func() {
			var token panel.SeatToken
			err := insist(func() (err error) {
				token, err = n.svc.Consent(ctx, n.sitting.Join, fmt.Sprint("phone ", i), panel.PhoneConsent{})
				return err
			})
			if errors.Is(err, panel.ErrFull) {
				mu.Lock()
				full++
				mu.Unlock()
				return
			}
			if err == nil {
				err = insist(func() error { return n.tasteAll(token, fmt.Sprint(i%101)) })
			}
			if err != nil {
				t.Errorf("phone %d: %v", i, err)
			}
		})
	}
	done := make(chan struct{})
	for _, look := range []func() error{
		func() error { return last(n.svc.Live(ctx, n.lead, n.study)) },
		func() error { return last(n.svc.Room(ctx, n.floor)) },
		func() error { return last(n.svc.KitchenSheet(ctx, n.kitchen)) },
	} {
		staff.Go(func() {
			for {
				if err := look(); err != nil && !errors.Is(err, panel.ErrUnavailable) {
					t.Error(err)
				}
				select {
				case <-done:
					return
				case <-time.After(200 * time.Millisecond): // far more often than a board asks
				}
			}
		})
	}
	phones.Wait()
	close(done)
	staff.Wait()
	if full != 20 {
		t.Errorf("%d phones were told that it is full, want 20", full)
	}
	live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Sittings[0]
	if live.Finished != 180 || live.Rated != 540 || live.Imbalance != 0 {
		t.Errorf("board %d finished, %d servings, imbalance %d; want 180, 540 and 0", live.Finished, live.Rated,
			live.Imbalance)
	}
	if c := n.closed(); len(c.Answers) != 180*3*2 || len(c.Replaced) != 0 {
		t.Errorf("%d ratings, %d kept aside; want each exactly once", len(c.Answers), len(c.Replaced))
	}
}

// insist does a thing again as long as the database has no room for it: phones
// keep what they have and send it again.
func insist(do func() error) error {
	err := do()
	for errors.Is(err, panel.ErrUnavailable) {
		err = do()
	}
	return err
}

// tasteAll takes a phone through its ballot; every submission is sent by two
// requests at once.
func (n *night) tasteAll(token panel.SeatToken, salt string) error {
	ctx := n.t.Context()
	if err := n.svc.Start(ctx, token); err != nil {
		return err
	}
	for seq := 1; ; seq++ {
		b, err := n.svc.Ballot(ctx, token)
		if err != nil || b.Stage == panel.StageDone {
			return err
		}
		sub := panel.Submission{ID: "of " + string(b.Turn.ID), Seq: seq, TurnID: b.Turn.ID,
			Given: map[string]string{"a1": salt, "a2": "5"}}
		var both sync.WaitGroup
		var receipts [2]panel.Receipt
		var errs [2]error
		for i := range receipts {
			both.Go(func() { receipts[i], errs[i] = n.svc.Submit(ctx, token, sub) })
		}
		both.Wait()
		if err := errors.Join(errs[:]...); err != nil {
			return err
		}
		if receipts[0].Outcome != panel.Repeated && receipts[1].Outcome != panel.Repeated ||
			receipts[0].Held["a1"] != salt || receipts[1].Held["a1"] != salt {
			return fmt.Errorf("serving %d sent twice: %+v", seq, receipts)
		}
	}
}
