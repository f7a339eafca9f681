package server_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/desk"
	"cloche/internal/server/servertest"
	"cloche/internal/simulated"
)

// TestFlowOfRandomEveningsAddsUp lets guests say no, take a place, begin, answer, leave and
// delete their answers as chance has it, and holds the report's flow to what they did.
func TestFlowOfRandomEveningsAddsUp(t *testing.T) {
	f := servertest.New(t)
	draw := rand.New(rand.NewPCG(16, 5))
	ctx := t.Context()
	evenings := 20
	if os.Getenv(simulated.Full) == "1" {
		evenings = 1000
	}
	for evening := range evenings {
		id, join := f.InState(servertest.Custard, panel.Open)
		var want report.Flow
		answered, early := 0, 0
		for guest := range 1 + draw.IntN(8) {
			nonce := fmt.Sprintf("evening-%d-guest-%d", evening, guest)
			if draw.IntN(6) == 0 {
				f.Must(f.Svc.Decline(ctx, join, nonce, ""))
				want.SaidNo++
				continue
			}
			want.Seated++
			rated, ends := draw.IntN(3), draw.IntN(4)
			token, err := f.Svc.Consent(ctx, join, nonce, panel.PhoneConsent{})
			f.Must(err)
			if begins := draw.IntN(8) > 0; begins {
				f.Must(f.Svc.Start(ctx, token))
			} else {
				rated = 0
			}
			for range rated {
				b, err := f.Svc.Ballot(ctx, token)
				f.Must(err)
				_, err = f.Svc.Submit(ctx, token, panel.Submission{ID: "page/" + string(b.Turn.ID), TurnID: b.Turn.ID,
					Given: map[string]string{"a1": fmt.Sprint(draw.IntN(101)), "a2": "6"}})
				f.Must(err)
			}
			if rated == 0 && ends <= 1 {
				early++
			}
			switch {
			case ends == 0:
				f.Must(f.Svc.Withdraw(ctx, token))
				want.Withdrawn++
				rated = 0
			case rated == 2:
				want.Finished++
			case ends == 1:
				f.Must(f.Svc.Stop(ctx, token))
				want.Left++
			default:
				want.Stopped++
			}
			answered += min(rated, 1)
		}
		f.Must(f.Svc.Close(ctx, servertest.ByLead, id))
		d, err := desk.Collect(ctx, f.Svc, id, time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC))
		f.Must(err)
		if d.Findings == nil {
			if answered > 0 {
				t.Errorf("evening %d: %d answered and nothing is found", evening, answered)
			}
			continue
		}
		got := *d.Report.Flow
		gone := want.Left + want.Withdrawn - got.Left - got.Withdrawn // whose place another guest got
		if got.SaidNo != want.SaidNo || got.Finished != want.Finished || got.Stopped != want.Stopped ||
			got.GaveUp != gone || got.GaveUp+got.Seated != want.Seated || gone < 0 || gone > early {
			t.Errorf("evening %d: the flow is %+v, want %+v, of whom %d went before any answer", evening, got, want,
				early)
		}
		steps := report.FlowSteps(&got, d.Findings)
		if steps[1].N != got.Seated || steps[2].N != answered || steps[3].N > answered {
			t.Errorf("evening %d: %+v; %d answered", evening, steps, answered)
		}
	}
}
