package size

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
)

// within is the power of the F test of so many samples rated by the same n assessors: effect is
// the SD of the samples' means (divisor samples) over the residual SD, λ is n·samples·effect²
// times epsilon (Muller & Barton 1989, J. Am. Stat. Assoc. 84:549).
func within(n, samples int, effect, epsilon, alpha float64) float64 {
	df := epsilon * float64(samples-1)
	return statstest.Must(PowerF(df, df*float64(n-1), epsilon*float64(n*samples)*effect*effect, alpha))
}

func TestPowerReference(t *testing.T) {
	const rInt = "R 4.2.2: integrate() over the chi density, pf() noncentral"
	tost := func(n int, d, lower, upper float64) float64 {
		p, err := PowerTOST(n, EquivalenceDesign{Lower: lower, Upper: upper, Difference: d})
		statstest.Fatal(t, err)
		return p
	}
	cases := []struct {
		name, source string
		got, want    float64
	}{
		{"equivalence, n=12", rInt, tost(12, 0, -0.5, 0.5), 0.107144261409554},
		{"equivalence, n=40", rInt, tost(40, 0, -0.5, 0.5), 0.85621176246623},
		{"equivalence, off centre", rInt, tost(60, 0.1, -0.5, 0.5), 0.92026431466771},
		{"equivalence, uneven bounds", rInt, tost(24, -0.2, -1, 0.8), 0.983481605166476},
		{"within, 4 samples", rInt, within(20, 4, 0.3, 1, 0.05), 0.570543636374112},
		{"within, epsilon 0.75", rInt, within(12, 3, 0.5, 0.75, 0.05),
			0.611805506087206},
		{"within, 1 % level", rInt, within(30, 6, 0.2, 1, 0.01), 0.261684079152808},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			if math.Abs(tc.got-tc.want) > 1e-9 {
				t.Errorf("got %v, want %v (%s)", tc.got, tc.want, tc.source)
			}
		})
	}
}

func TestPowerIdentities(t *testing.T) {
	for _, n := range []int{3, 10, 40} {
		paired, err := PowerT(n, TDesign{Effect: 0.6})
		statstest.Fatal(t, err)
		// Two samples within assessors: F is the square of the paired t.
		if f := within(n, 2, 0.6/math.Sqrt2, 1, 0.05); math.Abs(paired.Power-f) > 1e-10 {
			t.Errorf("n=%d: paired t %v, F of two samples %v", n, paired.Power, f)
		}
		oneSided, err := PowerT(n, TDesign{Effect: 0.6, Alternative: stats.Greater})
		statstest.Fatal(t, err)
		// One bound far away: a single one-sided test against the other.
		tost, err := PowerTOST(n, EquivalenceDesign{Lower: -0.6, Upper: 1e4})
		statstest.Fatal(t, err)
		if math.Abs(oneSided.Power-tost) > 1e-8 {
			t.Errorf("n=%d: one-sided t %v, equivalence with one bound %v", n, oneSided.Power, tost)
		}
		mirrored, err := PowerT(n, TDesign{Effect: -0.6, Alternative: stats.Less})
		statstest.Fatal(t, err)
		if math.Abs(oneSided.Power-mirrored.Power) > 1e-12 {
			t.Errorf("n=%d: greater %v, mirrored %v", n, oneSided.Power, mirrored.Power)
		}
	}
}

func TestSampleSizesOfTheTrade(t *testing.T) {
	binomial := func(power float64) BinomialSampleSize {
		// Triangle, a share of 0.3 who tell the difference.
		s, err := Binomial(power, 0, BinomialDesign{P0: 1.0 / 3, P1: 1.0/3 + 0.3*2/3, Alternative: stats.Greater})
		statstest.Fatal(t, err)
		return s
	}
	if s := binomial(0.95).First; math.Abs(s.Power-0.950728) > 5e-7 || math.Abs(s.Alpha-0.0469199) > 5e-8 {
		t.Errorf("triangle of 66: got %+v, want power 0.950728 and level 0.0469199 (exact binomial)", s)
	}
	hough, err := T(0.9, TDesign{Independent: true, Effect: 0.1 / 0.23})
	statstest.Fatal(t, err)
	if hough.N != 113 || hough.NNormal != 112 {
		t.Errorf("RMSL 0.23, difference 0.1: got %d and %d, want 113 (t) and 112 (normal; Hough 2006, from memory)",
			hough.N, hough.NNormal)
	}
	for d, want := range map[float64]int{0.2: 394, 0.5: 64, 0.8: 26} {
		s, err := T(0.8, TDesign{Independent: true, Effect: d})
		statstest.Fatal(t, err)
		if s.N != want {
			t.Errorf("d=%v: got %d, want %d (Cohen 1988, table 2.4.1)", d, s.N, want)
		}
	}
}

// The rank tests are reckoned from the t test and their efficiency: simulated
// studies must reject as often, within the error of simulating and 0.02.
func TestRankPowerFromEfficiency(t *testing.T) {
	for _, tc := range []struct {
		n      int
		effect float64
	}{{12, 0.9}, {24, 0.5}, {36, 0.5}, {80, 0.3}} {
		reckoned, err := PowerT(tc.n, TDesign{Effect: tc.effect, Efficiency: RankEfficiency})
		statstest.Fatal(t, err)
		random, found, studies := rand.New(rand.NewPCG(7, 0)), 0, simulated.Studies(20_000)
		for range studies {
			x := make([]float64, tc.n)
			for i := range x {
				x[i] = tc.effect + random.NormFloat64()
			}
			// Beyond 60 the normal approximation decides alike but for a few in ten thousand.
			if ranks.SignedRankOf(x, ranks.SignedRankOptions{ExactMax: 60}).P <= 0.05 {
				found++
			}
		}
		played := float64(found) / float64(studies)
		if math.Abs(reckoned.Power-played) > 0.02+simulated.Margin(0.5, studies) {
			t.Errorf("n=%d, effect %v: reckoned %v, simulated %v", tc.n, tc.effect, reckoned.Power, played)
		}
	}
	s, err := T(0.8, TDesign{Effect: 0.5, Efficiency: RankEfficiency})
	statstest.Fatal(t, err)
	// 33.367 pairs for the t test (noncentral t, testdata/reference) over 3/π.
	if want := 33.367129139076646 / RankEfficiency; math.Abs(s.NFractional-want) > 1e-6 || s.N != 35 {
		t.Errorf("got %v and %d, want %v and 35", s.NFractional, s.N, want)
	}
}

func TestDetectableMargin(t *testing.T) {
	for _, n := range []int{2, 12, 40, 400} {
		m, err := DetectableMargin(n, 0.8, EquivalenceDesign{})
		statstest.Fatal(t, err)
		p, err := PowerTOST(n, EquivalenceDesign{Lower: -m, Upper: m})
		statstest.Fatal(t, err)
		if math.Abs(p-0.8) > 1e-6 {
			t.Errorf("n=%d: margin %v has power %v, want 0.8", n, m, p)
		}
	}
	if _, err := DetectableMargin(1, 0.8, EquivalenceDesign{}); !errors.Is(err, ErrDesign) {
		t.Errorf("one pair: got %v, want ErrDesign", err)
	}
}

func TestPowerEdges(t *testing.T) {
	if _, err := PowerT(1, TDesign{Effect: 1}); !errors.Is(err, ErrDesign) {
		t.Errorf("one assessor: got %v, want ErrDesign", err)
	}
	if _, err := T(0.8, TDesign{Effect: math.Inf(1)}); !errors.Is(err, ErrDesign) {
		t.Errorf("infinite effect: got %v, want ErrDesign", err)
	}
	for name, d := range map[string]TDesign{"no effect": {}, "wrong side": {Effect: -0.5, Alternative: stats.Greater}} {
		s, err := T(0.8, d)
		if err != nil || s.N != 0 || !math.IsNaN(s.NFractional) ||
			!statstest.HasWarning(s.Warnings, stats.WarnNotReached) {
			t.Errorf("%s: got %+v, %v; want no number with a warning", name, s, err)
		}
	}
	none, err := Binomial(0.8, 0, BinomialDesign{P0: 0.5, P1: 0.5, Alternative: stats.Greater})
	if err != nil || none.First.N != 0 || !statstest.HasWarning(none.Warnings, stats.WarnNotReached) {
		t.Errorf("binomial without effect: got %+v, %v", none, err)
	}
	if n, err := TOST(0.8, EquivalenceDesign{Lower: -0.5, Upper: 0.5, Difference: 0.6}); err != nil || n != 0 {
		t.Errorf("difference outside the bounds: got %d, %v", n, err)
	}
}
