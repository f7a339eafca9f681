package dist

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats/statstest"
)

func TestTailsKeepRelativeAccuracy(t *testing.T) {
	const source = "mpmath 1.2.1, incomplete beta functions and their mixtures in 30 digits"
	cases := []struct {
		name      string
		got, want float64
	}{
		{"t 8 on 80", TSurvival(8, 80), 4.0439690906972909645e-12},
		{"t 40 on 80", TSurvival(40, 80), 5.8825601271581878897e-55},
		{"t 100 on 80", TSurvival(100, 80), 4.3139393854433641876e-86},
		{"t 4 on 12345.6", TSurvival(4, 12345.6), 3.1855908492959775e-05},
		{"noncentral F 3 on 1 and 2", NoncentralFCDF(3, 1, 2, 30), 0.00192003317992084},
		{"noncentral F 0.5 on 7.5 and 2", NoncentralFCDF(0.5, 7.5, 2, 30), 0.00109138651394088},
		{"noncentral F 0.5 on 7.5 and 30.3", NoncentralFCDF(0.5, 7.5, 30.3, 30), 7.01746481143122e-6},
		{"noncentral F 0.5 on 60 and 1000", NoncentralFCDF(0.5, 60, 1000, 30), 1.27900660095785e-7},
		{"noncentral F 60 on 1 and 30.3", NoncentralFCDF(60, 1, 30.3, 200), 4.20019191917727e-6},
	}
	for _, tc := range cases {
		if !(math.Abs(tc.got-tc.want) <= 1e-12*tc.want) {
			t.Errorf("%s: got %v, want %v (%s)", tc.name, tc.got, tc.want, source)
		}
	}
}

// The square of a noncentral t variable is noncentral F: two algorithms that
// share nothing must meet, also far out.
func TestNoncentralTSquaredIsF(t *testing.T) {
	for _, df := range []float64{1, 2, 3.5, 9, 80, 999, 1e5} {
		for _, q := range []float64{0.1, 1, 2.5, 8, 30, 300} {
			for _, ncp := range []float64{0.3, 2, 6, 15, 60} {
				name := fmt.Sprintf("t=%v df=%v ncp=%v", q, df, ncp)
				outside := NoncentralTSurvival(q, df, ncp) + NoncentralTCDF(-q, df, ncp)
				if want := NoncentralFSurvival(q*q, 1, df, ncp*ncp); math.Abs(outside-want) > 1e-9*want {
					t.Errorf("%s: outside ±t %v, F %v", name, outside, want)
				}
				inside := NoncentralTCDF(q, df, ncp) - NoncentralTCDF(-q, df, ncp)
				if want := NoncentralFCDF(q*q, 1, df, ncp*ncp); inside > 1e-3*NoncentralTCDF(q, df, ncp) &&
					!statstest.Agree(inside, want, 1e-9) {
					t.Errorf("%s: inside ±t %v, F %v", name, inside, want)
				}
			}
		}
	}
}

func TestDistributionsKeepTheirRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		df := rapid.Float64Range(0.5, 500).Draw(t, "df")
		p := rapid.Float64Range(1e-8, 1-1e-8).Draw(t, "p")
		if back := TCDF(TQuantile(p, df), df); !statstest.Agree(back, p, 1e-11) {
			t.Fatalf("P(T ≤ quantile of %v) = %v", p, back)
		}
		x := rapid.Float64Range(0.001, 300).Draw(t, "x")
		lambda := rapid.Float64Range(0, 300).Draw(t, "lambda")
		df2 := rapid.Float64Range(0.5, 500).Draw(t, "df2")
		chi, f := NoncentralChi2CDF(x, df, lambda), NoncentralFCDF(x, df, df2, lambda)
		if s := NoncentralChi2Survival(x, df, lambda); math.Abs(chi+s-1) > 1e-11 {
			t.Fatalf("chi-square: %v and %v", chi, s)
		}
		if s := NoncentralFSurvival(x, df, df2, lambda); math.Abs(f+s-1) > 1e-11 {
			t.Fatalf("F: %v and %v", f, s)
		}
		if NoncentralChi2CDF(x, df, lambda+1) > chi+1e-13 || NoncentralChi2CDF(x*1.1, df, lambda) < chi-1e-13 {
			t.Fatalf("chi-square is not monotone at %v", chi)
		}
		tt := rapid.Float64Range(-20, 20).Draw(t, "t")
		ncp := rapid.Float64Range(-20, 20).Draw(t, "ncp")
		cdf := NoncentralTCDF(tt, df, ncp)
		if s := NoncentralTSurvival(tt, df, ncp); math.Abs(cdf+s-1) > 1e-12 {
			t.Fatalf("t: %v and %v", cdf, s)
		}
		if NoncentralTCDF(tt, df, ncp+0.5) > cdf+1e-13 {
			t.Fatalf("t does not fall with the noncentrality at %v", cdf)
		}
	})
}

func TestNoncentralLimitsLeaveTheirTails(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.Float64Range(-60, 60).Draw(t, "t") * rapid.SampledFrom([]float64{1, 1, 30, 1e6}).Draw(t, "times")
		df := float64(rapid.IntRange(1, 1000).Draw(t, "df"))
		level := rapid.Float64Range(0.1, 0.999).Draw(t, "level")
		lo, hi := NoncentralTInterval(q, df, level)
		above, below := NoncentralTSurvival(q, df, lo), NoncentralTCDF(q, df, hi)
		if tail := (1 - level) / 2; !statstest.Agree(above, tail, 1e-8) || !statstest.Agree(below, tail, 1e-8) {
			t.Fatalf("t=%v df=%v level=%v: limits %v %v leave %v and %v", q, df, level, lo, hi, above, below)
		}
	})
}

func TestDistributionsOutsideTheirRange(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for name, v := range map[string]float64{"t, no df": TCDF(1, 0), "quantile of 1": TQuantile(1, 5),
		"noncentral t, df":  NoncentralTCDF(1, -1, 0),
		"noncentral t, ncp": NoncentralTCDF(1, 3, inf), "chi-square, lambda": NoncentralChi2CDF(1, 2, -1),
		"F, df":              NoncentralFCDF(1, 0, 2, 1),
		"F survival, lambda": NoncentralFSurvival(1, 1, 2, nan), "binomial": BinomialCDF(1, 2,
			1.5), "signed rank": SignedRankCDF(1, -1)} {
		if !math.IsNaN(v) {
			t.Errorf("%s: got %v, want NaN", name, v)
		}
	}
	for name, pair := range map[string][2]float64{"t at infinity": {NoncentralTCDF(inf, 3, 1), 1},
		"t at minus infinity": {NoncentralTCDF(-inf, 3, 1), 0},
		"t beyond squares":    {NoncentralTCDF(1e200, 3, 1), 1}, "ncp beyond squares": {NoncentralTCDF(1, 3, 1e200), 0},
		"both beyond squares": {NoncentralTCDF(2e200, 3, 1e200), NoncentralTCDF(2e9, 3, 1e9)},
		"normal limit": {NoncentralTCDF(1, inf, 0.5),
			NormalCDF(0.5)}, "F at infinity": {NoncentralFSurvival(inf, 1, 2, 3), 0}} {
		if math.Abs(pair[0]-pair[1]) > 1e-15 {
			t.Errorf("%s: got %v, want %v", name, pair[0], pair[1])
		}
	}
}
