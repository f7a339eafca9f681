package choice

import (
	"errors"
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestTwoProportionsReference(t *testing.T) {
	const r = "R 4.2.2, fisher.test and chisq.test; whose search for the odds ratio stops within 1 %"
	cases := []struct {
		name, source                    string
		table                           [2][2]int
		two, greater, less, low, high   float64
		chi2, p, chi2Yates, pYates, min float64
	}{
		{"tea tasting, Fisher 1935", r, [2][2]int{{3, 1}, {1, 3}}, 0.485714285714286, 0.242857142857143, 0.985714285714286,
			0.211732915305503, 621.933750545417297, 2, 0.157299207050284, 0.5, 0.479500122186953, 2},
		{"strong difference", r, [2][2]int{{10, 3}, {2, 15}}, 0.000536724119143437, 0.000465180943362906, 0.999984519018686,
			2.75343836565203, 300.68278741940225, 13.03167420814479627, 0.00030626663018355, 10.45814479638008976, 0.00122109851631151, 5.2},
		{"swapped", r, [2][2]int{{2, 15}, {10, 3}}, 0.000536724119143436, 0.999984519018686, 0.000465180943362905,
			0.00332576403385931, 0.36318227147489657, 13.03167420814479627, 0.00030626663018355, 10.45814479638008976, 0.00122109851631151, 5.2},
		{"none in one cell", r, [2][2]int{{0, 9}, {7, 5}}, 0.00712074303405571, 1, 0.0068111455108359,
			0, 0.619569603036015, 7.875, 0.00501228714548868, 5.46875, 0.01935946732736835, 3},
		{"large", r, [2][2]int{{120, 95}, {80, 110}}, 0.0071337751603298, 0.00393363579931232, 0.997867152688169,
			1.14890742447668, 2.62688445748, 7.58324626085918663, 0.00589132501879421, 7.04473089007971343, 0.00794987681619713, 93.82716049382716506},
	}
	for _, tc := range cases {
		t.Run(tc.name, func(t *testing.T) {
			got, err := TwoProportions(tc.table, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range []struct {
				field          string
				got, want, rel float64
			}{
				{"two-sided", got.Fisher, tc.two, 1e-10}, {"greater", got.Greater, tc.greater, 1e-10}, {"less", got.Less, tc.less, 1e-10},
				{"odds low", got.OddsCI.Lo, tc.low, 0.01}, {"odds high", got.OddsCI.Hi, tc.high, 0.01},
				{"chi2", got.Chi2, tc.chi2, 1e-12}, {"p", got.P, tc.p, 1e-11}, {"Yates", got.Chi2Yates, tc.chi2Yates, 1e-12},
				{"p Yates", got.PYates, tc.pYates, 1e-11}, {"least expected", got.LeastExpected, tc.min, 1e-12},
			} {
				if !statstest.Agree(c.got, c.want, c.rel) {
					t.Errorf("%s: got %v, want %v (%s)", c.field, c.got, c.want, tc.source)
				}
			}
		})
	}
}

func TestOddsLimitsLeaveTheirTails(t *testing.T) {
	for _, table := range [][2][2]int{{{3, 1}, {1, 3}}, {{10, 3}, {2, 15}}, {{120, 95}, {80, 110}}} {
		r, err := TwoProportions(table, 0.9)
		statstest.Fatal(t, err)
		h := newHypergeometric(table)
		at := table[0][0] - h.lo
		if tail := sumOf(h.pmf(math.Log(r.OddsCI.Lo))[at:]); !statstest.Agree(tail, 0.05, 1e-10) {
			t.Errorf("%v: tail at the lower limit %v", table, tail)
		}
		if tail := sumOf(h.pmf(math.Log(r.OddsCI.Hi))[:at+1]); !statstest.Agree(tail, 0.05, 1e-10) {
			t.Errorf("%v: tail at the upper limit %v", table, tail)
		}
	}
}

func TestNewcombeDifference(t *testing.T) {
	// Newcombe 1998 (Stat. Med. 17:873), table II, 56/70 against 48/80, method
	// 10: 0.0524 to 0.3339 (from memory).
	r, err := TwoProportions([2][2]int{{56, 14}, {48, 32}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.CI.Lo-0.0524) > 5e-5 || math.Abs(r.CI.Hi-0.3339) > 5e-5 {
		t.Errorf("got %+v, want 0.0524 to 0.3339", r.CI)
	}
}

func TestProportionsEdges(t *testing.T) {
	if _, err := TwoProportions([2][2]int{{0, 0}, {1, 2}}, 0); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("empty group: got %v, want ErrEmpty", err)
	}
	if _, err := McNemar([2][2]int{{1, -1}, {0, 0}}, 0); !errors.Is(err, stats.ErrCounts) {
		t.Errorf("negative count: got %v, want ErrCounts", err)
	}
	if _, err := CochranQ([][]bool{{true, false}, {true}}); !errors.Is(err, stats.ErrShape) {
		t.Errorf("ragged answers: got %v, want ErrShape", err)
	}
	if _, err := BinomialTest(3, 2, 0.5, BinomialTestOptions{}); !errors.Is(err, stats.ErrCounts) {
		t.Errorf("3 of 2: got %v, want ErrCounts", err)
	}
	if _, err := BinomialTest(1, 2, math.NaN(), BinomialTestOptions{}); !errors.Is(err, ErrProbability) {
		t.Errorf("p0 not a number: got %v, want ErrProbability", err)
	}
	alike, err := TwoProportions([2][2]int{{4, 0}, {6, 0}}, 0)
	if err != nil || !math.IsNaN(alike.P) || !math.IsNaN(alike.Fisher) || !statstest.HasWarning(alike.Warnings, stats.WarnNoDiscordant) {
		t.Errorf("all alike: got %+v, %v", alike, err)
	}
	m, err := McNemar([2][2]int{{4, 0}, {0, 3}}, 0)
	if err != nil || !math.IsNaN(m.ExactP) || !math.IsNaN(m.OddsRatio) || m.Difference != 0 || !statstest.HasWarning(m.Warnings, stats.WarnNoDiscordant) {
		t.Errorf("no discordant pair: got %+v, %v", m, err)
	}
	one, err := McNemar([2][2]int{{4, 5}, {0, 3}}, 0)
	if err != nil || !math.IsInf(one.OddsRatio, 1) || !math.IsInf(one.OddsCI.Hi, 1) || !statstest.HasWarning(one.Warnings, stats.WarnZeroCell) {
		t.Errorf("one direction: got %+v, %v", one, err)
	}
	none, err := BinomialTest(0, 0, 0.5, BinomialTestOptions{})
	if err != nil || !math.IsNaN(none.P) || !none.Wilson.Absent() || !statstest.HasWarning(none.Warnings, stats.WarnTooFew) {
		t.Errorf("0 of 0: got %+v, %v", none, err)
	}
}
