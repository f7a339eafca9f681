package dist

import (
	"math"
	"testing"
)

func TestTailsAgainstTables(t *testing.T) {
	cases := []struct {
		name, source string
		got, want    float64
		rel          float64
	}{
		{"t, 10 df, 2.5 % point", "Abramowitz & Stegun (1964), Table 26.10", TQuantileUpper(0.025, 10), 2.228, 3e-4},
		{"t, 1 df, 0.5 % point is cot(0.005π)", "closed form of the Cauchy distribution", TQuantileUpper(0.005, 1),
			1 / math.Tan(0.005*math.Pi), 1e-12},
		{"t, 2 df, two-sided at 4", "closed form 1 − t/√(2+t²)", TTwoSided(4, 2), 1 - 4/math.Sqrt(18), 1e-12},
		{"t far in the tail, 2 df", "closed form, expanded: 2/(s(s+t)), s = √(2+t²)", TTwoSided(1e8, 2), 1e-16, 1e-12},
		{"F(3, 20), 5 % point", "Abramowitz & Stegun (1964), Table 26.9", FSurvival(3.10, 3, 20), 0.05, 2e-3},
		{"F(2, d2) is (1+2f/d2)^(−d2/2)", "closed form", FSurvival(30, 2, 60), math.Pow(2, -30), 1e-12},
		{"chi-squared with 2 df is exp(−x/2)", "closed form", ChiSquaredSurvival(200, 2), math.Exp(-100), 1e-12},
		{"normal 97.5 % point", "Abramowitz & Stegun (1964), Table 26.5", -NormalQuantile(0.025), 1.95996398454, 1e-11},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if math.Abs(c.got-c.want) > c.rel*c.want {
				t.Errorf("got %.15g, want %.15g (%s)", c.got, c.want, c.source)
			}
		})
	}
}

func TestTailsRefuseNonsense(t *testing.T) {
	for name, v := range map[string]float64{
		"F of NaN":           FSurvival(math.NaN(), 1, 1),
		"F with no df":       FSurvival(1, 0, 1),
		"chi-squared no df":  ChiSquaredSurvival(1, 0),
		"t of NaN":           TTwoSided(math.NaN(), 3),
		"t quantile of zero": TQuantileUpper(0, 3),
	} {
		if !math.IsNaN(v) {
			t.Errorf("%s: got %v, want NaN", name, v)
		}
	}
}
