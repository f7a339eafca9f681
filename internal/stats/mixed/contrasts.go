package mixed

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/model"
)

// ContrastTest is the test of contrasts of marginal means. A single one has an estimate
// with its interval; of several only F is known.
type ContrastTest struct {
	Estimate, SE, T float64
	CI              stats.Interval
	F, DF1, DF2, P  float64 // F is T² of a single one, whose degrees of freedom are DF2
}

// Contrasts tests that all contrasts of the marginal means of a factor are 0: each row
// has a weight for each level, which sum to 0. What cannot be estimated is NaN.
// Degrees of freedom as in [Result.Anova]; a single contrast as in [Result.Pairs].
func (f *Result) Contrasts(factor string, rows [][]float64) (ContrastTest, error) {
	nan := math.NaN()
	r := ContrastTest{Estimate: nan, SE: nan, T: nan, CI: stats.NoInterval(f.level), F: nan,
		DF1: float64(len(rows)), DF2: nan, P: nan}
	levels, means, err := f.marginal(factor)
	if err != nil {
		return r, err
	}
	var hypothesis [][]float64
	for _, row := range rows {
		if len(row) != len(levels) {
			return r, fmt.Errorf("contrast of %d weights for %d levels of %q: %w", len(row), len(levels), factor,
				model.ErrModelData)
		}
		l, estimable := f.inBasis(combined(row, means))
		if !estimable {
			return r, nil
		}
		hypothesis = append(hypothesis, l)
	}
	if f.point == nil || len(rows) == 0 {
		return r, nil
	}
	if len(rows) == 1 {
		t := f.test(hypothesis[0])
		r.Estimate, r.SE, r.T, r.CI = t.estimate, t.se, t.t, f.interval(t)
		r.F, r.DF2, r.P = t.t*t.t, t.df, t.p
		return r, nil
	}
	r.F, r.DF1, r.DF2 = f.jointTest(hypothesis)
	r.P = dist.FSurvival(r.F, r.DF1, r.DF2)
	return r, nil
}

// combined sums rows by their weights.
func combined(weights []float64, rows [][]float64) []float64 {
	sum := make([]float64, len(rows[0]))
	for i, w := range weights {
		for c, v := range rows[i] {
			sum[c] += w * v
		}
	}
	return sum
}
