package report

import (
	"strings"
	"testing"

	"cloche/internal/design"
	"cloche/internal/study"
	"cloche/studies"
)

func TestBalanceFigureTellsTheWorstOfThePlan(t *testing.T) {
	s, problems := study.Parse("celeriac-custard.yaml", studies.CeleriacCustard)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	plan, err := design.Draw(s, design.Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	b, err := plan.CountBalance(s)
	if err != nil {
		t.Fatal(err)
	}
	f := BalanceFigure(b, English)
	// Two samples in a Williams order: served equally always, one apart at a
	// position and in one pair after every odd assessor (Williams 1949).
	want := [][]string{{"times served", "0", "0"}, {"times at a position", "1", "0"}, {"ordered pairs", "1", "0"}}
	for i, row := range want {
		if got := strings.Join(f.Data.Rows[i], " "); got != strings.Join(row, " ") {
			t.Errorf("row %d = %q, want %q", i, got, row)
		}
	}
	if len(f.Option) < 100 || len(f.Legend) != 3 {
		t.Errorf("the figure is not drawn: %d bytes, legend %v", len(f.Option), f.Legend)
	}
}

func TestStepsKeepThePeaksOfLongPlans(t *testing.T) {
	counts := make([]int, 100_000)
	counts[77_777] = 9
	points := steps(counts)
	if len(points) > 2*mostSteps+1 {
		t.Errorf("%d points, want at most %d", len(points), 2*mostSteps+1)
	}
	peak := 0.0
	for _, p := range points {
		peak = max(peak, p[1])
	}
	if last := points[len(points)-1]; peak != 9 || last[0] != 100_000 {
		t.Errorf("peak %g at most and last point %v, want 9 and 100000", peak, last)
	}
}
