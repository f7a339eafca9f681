package report_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// TestWhoChoseWhichIsDrawn: the share of the finding, its interval, a half and the smallest
// share worth acting on stand where their numbers say, ends of the range included.
func TestWhoChoseWhichIsDrawn(t *testing.T) {
	for seed := range uint64(80) {
		random := rand.New(rand.NewPCG(seed, 57))
		s := panelOf(2)
		s.Languages = []string{"en"}
		s.Question, s.Attributes, s.Plan.Attribute = study.Preference, nil, ""
		s.Plan.Undecided = []study.UndecidedRule{study.DropUndecided, study.SplitUndecided}[random.IntN(2)]
		s.Plan.SmallestEffect = []float64{0, 0.65, 0.9}[random.IntN(3)]
		share := []float64{0, 0.3, 0.5, 0.8, 1}[random.IntN(5)]
		var answers []analysis.Rating
		for i := range 1 + random.IntN(40) {
			first, none := random.Float64() < share, random.IntN(4) == 0
			for j, x := range s.Samples {
				row := analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: 1, Position: j + 1, Sample: x.ID,
					Attribute: study.ChoiceAnswer}
				if (j == 0) == first && !none {
					row.Value = 1
				}
				answers = append(answers, row)
			}
		}
		r := analyse(t, s, answers)
		f, c := r.Findings[0], drawnCase{s, r, report.Build(s, r, report.Options{})}
		figure, ok := c.figure("chosen")
		if want := !math.IsNaN(f.Value) && !f.CI.Absent(); ok != want {
			t.Fatalf("seed %d: drawn is %t of %+v", seed, ok, f.Estimate)
		}
		if !ok {
			continue
		}
		o := optionOf(t, figure)
		ends, worth := o.named("interval"), o.named("smallest worth acting on")
		if at := o.named("share"); len(at) != 1 || math.Abs(at[0][0]-100*f.Value) > 1e-9 || len(ends) != 2 ||
			math.Abs(ends[0][0]-100*f.CI.Lo) > 1e-9 || math.Abs(ends[1][0]-100*f.CI.Hi) > 1e-9 ||
			(len(worth) > 0) != (s.Plan.SmallestEffect > 0) {
			t.Errorf("seed %d: %v within %v, worth %v; found %+v", seed, at, ends, worth, f.Estimate)
		}
		for _, x := range o.Series {
			for _, d := range x.Data {
				if !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
					t.Errorf("seed %d: %s at %v lies beyond its axes", seed, x.Name, d.Value)
				}
			}
		}
		rows := fmt.Sprint(figure.Data.Rows)
		for _, n := range []int{f.Choice.Preferred.First, f.Choice.Preferred.Second} {
			if !strings.Contains(rows, fmt.Sprint(n)+"]") {
				t.Errorf("seed %d: %d is not among %s", seed, n, rows)
			}
		}
		if strings.Contains(figure.Alt, "NaN") {
			t.Errorf("seed %d: %q", seed, figure.Alt)
		}
	}
}
