package panel_test

import (
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// TestHowPeopleAnsweredReachesTheAnalysis: how soon after the plate, in which order, and
// after a wrong plate. A time that floor or the staff's typing makes meaningless is none.
func TestHowPeopleAnsweredReachesTheAnalysis(t *testing.T) {
	n := newNight(t, three)
	served := func(nonce string) (panel.SeatToken, panel.BallotTurn) {
		token := n.guest(nonce)
		b := ballot(t, n.svc, token)
		n.must(n.svc.Serve(t.Context(), n.floor, b.Turn.ID, panel.PhoneAct{}))
		return token, b.Turn
	}
	soon, turn := served("soon")
	n.clock.pass(5 * time.Second)
	n.submit(soon, panel.Submission{ID: "s", Seq: 1, TurnID: turn.ID}, "10")

	kept, turn := served("kept by the phone")
	n.clock.pass(50 * time.Second)
	n.submit(kept, panel.Submission{ID: "k", Seq: 1, TurnID: turn.ID, Waited: 48 * time.Second}, "20")

	_, turn = served("typed by floor")
	n.clock.pass(5 * time.Second)
	of[panel.Receipt](n)(n.svc.Enter(t.Context(), n.floor, panel.Submission{ID: "t", TurnID: turn.ID,
		Given: map[string]string{"a1": "30", "a2": "5"}}))

	apart := n.guest("out of turn")
	first, last := ballot(t, n.svc, apart).Turn.ID, n.third(apart)
	code, _ := n.unseal(last)
	n.submit(apart, panel.Submission{ID: "3", Seq: 1, TurnID: last.ID, Code: code}, "40")
	n.submit(apart, panel.Submission{ID: "1", Seq: 2, TurnID: first}, "41")
	n.must(n.svc.Serve(t.Context(), n.floor, first, panel.PhoneAct{ID: "late"}))

	wrong, turn := served("wrong plate")
	of[panel.Revealed](n)(n.svc.BreakBlind(t.Context(), n.lead, panel.BreakBlind{SittingID: n.sitting.ID,
		Code: turn.Plates[0].Code, Seat: ballot(t, n.svc, wrong).Label, Reason: panel.WrongPlate +
			": of the next table"}))
	n.clock.pass(time.Hour)
	n.submit(wrong, panel.Submission{ID: "w", Seq: 1, TurnID: turn.ID}, "50")

	n.must(n.svc.Close(t.Context(), byLead, n.study))
	_, ratings, err := n.svc.Ratings(t.Context(), n.study)
	n.must(err)
	type how struct {
		seconds          float64
		wrong, outOfTurn bool
	}
	got := map[float64]how{}
	for _, r := range ratings {
		if r.Attribute == "salt" {
			got[r.Value] = how{r.Seconds, r.WrongPlate, r.OutOfTurn}
		}
	}
	for value, want := range map[float64]how{10: {seconds: 5}, 20: {seconds: 2}, 30: {}, 40: {outOfTurn: true},
		41: {}, 50: {seconds: 3600, wrong: true}} {
		if have, ok := got[value]; have != want || !ok {
			t.Errorf("the answer %g: %+v, want %+v", value, have, want)
		}
	}
	_, found, err := n.svc.Findings(t.Context(), n.study)
	n.must(err)
	codes := map[string]bool{}
	for _, w := range found.Warnings {
		codes[w.Code] = true
	}
	for _, code := range []string{analysis.WarnAnsweredSoon, analysis.WarnAnsweredLate, analysis.WarnWrongPlate,
		analysis.WarnOutOfTurn} {
		if !codes[code] {
			t.Errorf("nobody is named for %s", code)
		}
	}
}
