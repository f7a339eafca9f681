package choice

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/simulated"
)

// Three courses of a duo-trio of stored meat patties against fresh ones
// (C correct, W wrong), printed in GOST ISO 16820-2015, table A.1. The stops are
// printed; p₀, p₁ and the risks were inferred from them.
func TestSequentialCoursesOfISO16820(t *testing.T) {
	t.Parallel()
	d := SequentialDesign{P0: 0.5, P1: 0.7, Alpha: 0.1, Beta: 0.1}
	for _, tc := range []struct {
		name, answers string
		state         SequentialState
		n, correct    int
	}{
		{"A, 1 day", "WWWCWCWCWCW", DecidedSimilar, 11, 4},
		{"B, 3 days", "WCWCWCWCCCCWCCCCWWCCWWWCWCCCCC", Undecided, 30, 19},
		{"C, 5 days", "CCCCWCCCWCCC", DecidedDifferent, 12, 10},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r, err := Sequential(answersOf(tc.answers), d)
			if err != nil {
				t.Fatal(err)
			}
			last := r.Steps[len(r.Steps)-1]
			if r.State != tc.state || last.N != tc.n || last.Correct != tc.correct {
				t.Errorf("%v after %d with %d correct, want %v after %d with %d", r.State, last.N, last.Correct,
					tc.state, tc.n, tc.correct)
			}
		})
	}
	lines, err := d.Lines()
	if err != nil {
		t.Fatal(err)
	}
	// Wald (1947), computed in R.
	for name, got := range map[string][2]float64{"low": {lines.Low, -2.593214}, "high": {lines.High, 2.593214},
		"slope": {lines.Slope, 0.602888}} {
		if math.Abs(got[0]-got[1]) > 5e-7 {
			t.Errorf("%s line: %v, want %v", name, got[0], got[1])
		}
	}
}

func answersOf(s string) []bool {
	var out []bool
	for _, c := range s {
		out = append(out, c == 'C')
	}
	return out
}

func TestSequentialRefusesAndWaits(t *testing.T) {
	t.Parallel()
	for name, d := range map[string]SequentialDesign{
		"falling":     {0.7, 0.5, 0.1, 0.1},
		"certain":     {0.5, 1, 0.1, 0.1},
		"no risk":     {0.5, 0.7, 0, 0.1},
		"risks of 1":  {0.5, 0.7, 0.5, 0.5},
		"not numbers": {math.NaN(), 0.7, 0.1, 0.1},
	} {
		if _, err := Sequential(nil, d); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
	r, err := Sequential(nil, SequentialDesign{0.5, 0.7, 0.1, 0.1})
	if err != nil || r.State != Undecided || len(r.Steps) != 0 {
		t.Errorf("no answers: %+v %v", r, err)
	}
}

// The risks actually run stay below the nominal ones, as Wald's inequalities
// promise for their sum; 20,000 simulated courses at each truth in the full run.
func TestSequentialCalibration(t *testing.T) {
	t.Parallel()
	d := SequentialDesign{P0: 1. / 3, P1: 0.55, Alpha: 0.05, Beta: 0.1}
	rng := rand.New(rand.NewPCG(5, 6))
	courses := simulated.Studies(20_000)
	wrong := func(truth float64, mistake SequentialState) float64 {
		count := 0
		for range courses {
			answers := make([]bool, 600)
			for i := range answers {
				answers[i] = rng.Float64() < truth
			}
			if r, _ := Sequential(answers, d); r.State == mistake {
				count++
			}
		}
		return float64(count) / float64(courses)
	}
	alpha, beta := wrong(d.P0, DecidedDifferent), wrong(d.P1, DecidedSimilar)
	t.Logf("risks run: %.4f of %.2f, %.4f of %.2f", alpha, d.Alpha, beta, d.Beta)
	if margin := simulated.Margin(0.1, courses); alpha > d.Alpha+margin || beta > d.Beta+margin {
		t.Errorf("risks run: %.4f and %.4f", alpha, beta)
	}
}
