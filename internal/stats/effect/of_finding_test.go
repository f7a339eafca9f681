package effect_test

import (
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/effect"
)

// Values of R 4.2 by integrate() over dt(x − d, df) beyond qt(1 − alpha/2, df), the other
// road than the closed form here. The last three are the example of Gelman & Carlin (2014),
// differences of 0.1, 0.3 and 1 with a standard error of 3.3, for which the paper has power
// 0.05, 0.05 and 0.06, wrong signs 46, 40 and 19 % and exaggerations of 77, 25 and 8 (from memory).
func TestOfFindingEqualsR(t *testing.T) {
	for _, tc := range []struct {
		d, df, alpha float64
		side         stats.Alternative
		want         [3]float64
	}{
		{0.5, 7, 0.05, stats.TwoSided, [3]float64{0.064338351224, 0.187890590696, 6.15079642154}},
		{1, 11, 0.05, stats.TwoSided, [3]float64{0.131709525677, 0.0320396790487, 2.81613175364}},
		{2, 31, 0.05, stats.TwoSided, [3]float64{0.484530840711, 0.000337714922106, 1.42173313973}},
		{2.8, 60, 0.05, stats.TwoSided, [3]float64{0.786486383631, 6.94234460252e-06, 1.13418770306}},
		{0.2, 20, 0.01, stats.TwoSided, [3]float64{0.0109555739466, 0.291551815755, 16.4361914407}},
		{1, 11, 0.05, stats.Greater, [3]float64{0.221467872953, 0, 2.46406102189}},
		{4, 100, 0.05, stats.TwoSided, [3]float64{0.976760438166, 1.74611254654e-08, 1.01431821075}},
		{0.1 / 3.3, 1e7, 0.05, stats.TwoSided, [3]float64{0.05010519518, 0.464637753005, 77.1566820621}},
		{0.3 / 3.3, 1e7, 0.05, stats.TwoSided, [3]float64{0.0509472427538, 0.395304137275, 25.743051918}},
		{1 / 3.3, 1e7, 0.05, stats.TwoSided, [3]float64{0.0605844577018, 0.195066928452, 7.79556478001}},
	} {
		r := effect.OfFinding(tc.d, tc.df, tc.alpha, tc.side)
		for i, got := range []float64{r.Power, r.WrongSign, r.Exaggeration} {
			if math.Abs(got-tc.want[i]) > 1e-8*(1e-6+math.Abs(tc.want[i])) &&
				(tc.df < 1e6 || math.Abs(got/tc.want[i]-1) > 1e-6) {
				t.Errorf("d %g, df %g, number %d: got %.12g, want %.12g", tc.d, tc.df, i, got, tc.want[i])
			}
		}
	}
}

// What cannot be told is absent; the larger the difference, the less is wrong with what is
// found.
func TestOfFindingOverAGrid(t *testing.T) {
	for _, df := range []float64{2, 5, 30, 500} {
		before := effect.FindingErrors{Power: 0, WrongSign: 1, Exaggeration: math.Inf(1)}
		for d := 0.05; d < 6; d *= 1.3 {
			r := effect.OfFinding(d, df, 0.05, stats.TwoSided)
			if !(r.Power > before.Power && r.WrongSign < before.WrongSign && r.Exaggeration < before.Exaggeration) ||
				r.Exaggeration < 1 || r.WrongSign > 0.5 {
				t.Errorf("df %g, d %g: %+v after %+v", df, d, r, before)
			}
			before = r
		}
	}
	for _, d := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if r := effect.OfFinding(d, 10, 0.05, stats.TwoSided); !math.IsNaN(r.Power) {
			t.Errorf("a difference of %g: %+v", d, r)
		}
	}
}
