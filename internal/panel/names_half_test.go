package panel_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// askingHalf has the names read by a random half of the panel.
var askingHalf = strings.Replace(custard, "seed: 7}", "seed: 7, expectation: true, expectation of half: true}", 1)

// TestHalfOfThePanelReadsNames: of every four guests two read the names and two go straight to their
// plates; neither is told of the other half. Floor sees who reads, what is expected of the
// half is analysed, and so is whether being asked changed the tasting.
func TestHalfOfThePanelReadsNames(t *testing.T) {
	n := newNight(t, askingHalf)
	ctx := t.Context()
	var asked, not []int
	for i := range 4 {
		token := consent(t, n.svc, n.sitting.Join, fmt.Sprint("guest ", i))
		b := ballot(t, n.svc, token)
		n.must(n.svc.Start(ctx, token))
		reads := b.Names == 2
		if b.Of != 2 || b.Names != 0 && !reads {
			t.Fatalf("guest %d is told of %d names and %d servings", b.Label, b.Names, b.Of)
		}
		live := of[panel.Live](n)(n.svc.Live(ctx, n.lead, n.study)).Sittings[0]
		switch s := n.seat(b.Label); {
		case reads:
			asked = append(asked, b.Label)
			if s.State != panel.SeatReading || s.Reads.Of != 2 || live.Reading != 1 {
				t.Errorf("floor sees %+v, the board %d who read; want a guest who reads two names", s, live.Reading)
			}
			n.read(token, "70")
			n.read(token, "70")
		default:
			not = append(not, b.Label)
			if s.State == panel.SeatReading || s.Next.Number != 1 || live.Reading != 0 {
				t.Errorf("floor sees %+v, the board %d who read; want a guest who waits for a plate", s, live.Reading)
			}
		}
		for range 2 {
			n.taste(token)
			n.clock.pass(time.Minute)
		}
		if b := ballot(t, n.svc, token); b.Stage != panel.StageDone {
			t.Errorf("guest %d ends at stage %d", b.Label, b.Stage)
		}
	}
	if len(asked) != 2 || len(not) != 2 {
		t.Fatalf("%v read names, %v did not; want two each", asked, not)
	}
	n.must(n.svc.Close(ctx, byLead, n.study))
	_, result, err := n.svc.Findings(ctx, n.study)
	n.must(err)
	if len(result.Asking) == 0 || result.Asking[0].Ns != [2]int{2, 2} {
		t.Errorf("whether asking changed the tasting: %+v, want two against two", result.Asking)
	}
}

// TestHalfOfThePanelReadsNamesOnPaper: the sheet has rows for the names of those who read them alone, and
// no other guest's are taken.
func TestHalfOfThePanelReadsNamesOnPaper(t *testing.T) {
	n := newNight(t, askingHalf)
	for i := range 4 {
		n.guest(fmt.Sprint("guest ", i))
	}
	sheet := n.paperSheet()
	spec := of[panel.Study](n)(n.svc.Study(t.Context(), n.study)).Spec
	n.fill(spec, &sheet)
	var asked []string
	at := len(sheet.Rows) - sheet.Names()
	for _, row := range sheet.Rows[at:] {
		asked = append(asked, row.Cells[0])
	}
	slices.Sort(asked)
	if who := slices.Compact(slices.Clone(asked)); len(asked) != 4 || len(who) != 2 {
		t.Fatalf("the sheet has names for %v, want two for each of two guests", asked)
	}
	other := panel.PaperRow{Line: 2, Cells: slices.Clone(sheet.Rows[at].Cells)}
	for i := 1; slices.Contains(asked, other.Cells[0]); i++ {
		other.Cells[0] = fmt.Sprint(i)
	}
	table := panel.PaperTable{File: "names.csv", Head: sheet.Head, Rows: []panel.PaperRow{other}}
	check := of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table))
	if check.Sound() || !strings.Contains(refusals(check), "reads no name") {
		t.Errorf("a name of a guest who is not asked: %q", refusals(check))
	}
	table.Rows = sheet.Rows[at:]
	check = of[panel.PaperCheck](n)(n.svc.ImportPaper(t.Context(), n.lead, n.study, table))
	if !check.Sound() || check.Names != 4 || check.Guests != 2 {
		t.Errorf("the names of the half: %+v", check)
	}
	table.Rows = sheet.Rows[:at]
	n.must(last(n.svc.ImportPaper(t.Context(), n.lead, n.study, table)))
	n.must(n.svc.Close(t.Context(), byLead, n.study))
	_, result, err := n.svc.Findings(t.Context(), n.study)
	n.must(err)
	if len(result.Asking) == 0 || result.Asking[0].Ns != [2]int{2, 2} {
		t.Errorf("whether asking changed the tasting: %+v, want two against two", result.Asking)
	}
}

// TestRehearsalShowsBothHalves: of four invented assessors two read names, and the rehearsal says of each which it is.
func TestRehearsalShowsBothHalves(t *testing.T) {
	file := strings.Replace(rehearsed, "rinse: 30 s", "rinse: 0 s, expectation: true, expectation of half: true", 1)
	seen := map[string]int{}
	for place := range 4 {
		r, err := panel.Rehearse(askedOf(t, file), "en", place, noon)
		if err != nil {
			t.Fatal(err)
		}
		seen[stages(r)]++
		if !r.Half || r.Reads != strings.Contains(stages(r), "name") {
			t.Errorf("place %d: of a half: %t, reads: %t, and sees %s", place, r.Half, r.Reads, stages(r))
		}
	}
	if seen["instructions name name serving serving done debrief"] != 2 ||
		seen["instructions serving serving done debrief"] != 2 {
		t.Errorf("four assessors see %v", seen)
	}
	whole, err := panel.Rehearse(askedOf(t, rehearsed), "en", 0, noon)
	if err != nil || whole.Half || whole.Reads {
		t.Errorf("where nobody is asked the rehearsal speaks of halves: %+v, %v", whole, err)
	}
}
