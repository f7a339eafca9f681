package size

import (
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

// numbersOfR runs a program of base R and returns the numbers that it prints.
func numbersOfR(t *testing.T, program string) []float64 {
	t.Helper()
	if _, err := exec.LookPath("Rscript"); err != nil {
		if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
			t.Fatal("R is missing and CLOCHE_REQUIRE_ALL is set")
		}
		t.Skip("R is missing: install r-base-core to compare with it")
	}
	out, err := exec.Command("Rscript", "--vanilla", "-e",
		`say <- function(...) cat(sprintf("%.17g\n", c(...)))`+"\n"+program).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var numbers []float64
	for _, line := range strings.Fields(string(out)) {
		v, err := strconv.ParseFloat(line, 64)
		if err != nil {
			t.Fatalf("R says %q", out)
		}
		numbers = append(numbers, v)
	}
	return numbers
}

// power.t.test and power.anova.test of package stats, and its noncentral F and t and
// studentized range for what those have no function for.
func TestPowerAgainstR(t *testing.T) {
	want := numbersOfR(t, `for (n in c(5, 12, 60)) for (k in c(3, 6)) say(power.anova.test(groups = k, n = n, `+
		`between.var = 1, within.var = 8)$power, power.t.test(n = n, delta = 0.4 * k / 3, sd = 1, type = "paired", `+
		`strict = TRUE)$power, power.t.test(n = n, delta = 0.4 * k / 3, sd = 1, strict = TRUE)$power); `+
		`panel <- function(n, t, k, e, d) { m <- n * k / t * e; df <- n * (k - 1) - (t - 1) - (k - 1); `+
		`q <- qtukey(0.95, t, df) / sqrt(2); c1 <- qt(0.975, df); s <- d * sqrt(m); say(pf(qf(0.95, t - 1, df), t - `+
		`1, df, m * d^2, lower.tail = FALSE), pt(c1, df, s, lower.tail = FALSE) + pt(-c1, df, s), pt(q, df, s, `+
		`lower.tail = FALSE) + pt(-q, df, s), pt(qt(0.95, df), df, s, lower.tail = FALSE)) }; panel(12, 3, 3, 1, `+
		`0.6); panel(40, 4, 4, 1, 0.4); panel(161, 7, 3, 7/9, 0.3843); panel(30, 6, 2, 0.6, 0.9)`)
	var got []float64
	for _, n := range []int{5, 12, 60} {
		for _, k := range []int{3, 6} {
			f, err := PowerF(float64(k-1), float64(k*(n-1)), float64((k-1)*n)/8, 0.05)
			statstest.Fatal(t, err)
			paired, err := PowerT(n, TDesign{Effect: 0.4 * float64(k) / 3})
			statstest.Fatal(t, err)
			groups, err := PowerT(n, TDesign{Effect: 0.4 * float64(k) / 3, Independent: true})
			statstest.Fatal(t, err)
			got = append(got, f, paired.Power, groups.Power)
		}
	}
	for _, x := range []struct {
		n int
		d PanelDesign
	}{{12, PanelDesign{Samples: 3, Effect: 0.6}}, {40, PanelDesign{Samples: 4, Effect: 0.4}},
		{161, PanelDesign{Samples: 7, Each: 3, Efficiency: 7. / 9, Effect: 0.3843}},
		{30, PanelDesign{Samples: 6, Each: 2, Efficiency: 0.6, Effect: 0.9}}} {
		f, err := PowerPanel(x.n, x.d)
		statstest.Fatal(t, err)
		got = append(got, f)
		for _, test := range []PairTest{{}, {Tukey: true}, {Alternative: stats.Greater}} {
			p, err := PowerPanelPair(x.n, test, x.d)
			statstest.Fatal(t, err)
			got = append(got, p)
		}
	}
	if len(got) != len(want) {
		t.Fatalf("%d numbers, R has %d", len(got), len(want))
	}
	for i := range want {
		tolerance := 1e-8
		if i >= 18 && (i-18)%4 == 2 {
			tolerance = 1e-6 // Tukey's: R's qtukey stops looking at four decimals
		}
		if !statstest.Agree(got[i], want[i], tolerance) {
			t.Errorf("number %d: got %.15g, R has %.15g", i, got[i], want[i])
		}
	}
}

// Cohen (1992), Psychol. Bull. 112:155, table 2 (from memory): assessors a group at the
// 5 % level with 80 % power. His tables round the noncentrality, so that one more or less
// is the same.
func TestSizeEqualsPublishedTables(t *testing.T) {
	for _, tc := range []struct {
		groups int
		f      float64
		want   int
	}{{3, 0.25, 52}, {3, 0.4, 21}, {4, 0.1, 274}, {4, 0.25, 45}, {4, 0.4, 18}, {5, 0.25, 39}, {6, 0.25, 35},
		{7, 0.4, 13}} {
		k := float64(tc.groups)
		got := FewestAssessors(2, 10_000, 0.8, func(n int) float64 {
			p, _ := PowerF(k-1, k*float64(n-1), k*float64(n)*tc.f*tc.f, 0.05)
			return p
		})
		if got < tc.want-1 || got > tc.want+1 {
			t.Errorf("%d groups, f = %v: %d, want %d", tc.groups, tc.f, got, tc.want)
		}
	}
	for d, want := range map[float64]int{0.2: 393, 0.5: 64, 0.8: 26} {
		if s, err := T(0.8, TDesign{Effect: d, Independent: true}); err != nil || s.N < want || s.N > want+1 {
			t.Errorf("d = %v: %d, %v; want %d", d, s.N, err, want)
		}
	}
}

// Two samples are a pair, and the F of two is the square of its t.
func TestPanelOfTwoIsAPair(t *testing.T) {
	for _, n := range []int{4, 20, 90} {
		d := PanelDesign{Samples: 2, Effect: 0.5}
		f, err := PowerPanel(n, d)
		statstest.Fatal(t, err)
		pair, err := PowerPanelPair(n, PairTest{}, d)
		statstest.Fatal(t, err)
		tukey, err := PowerPanelPair(n, PairTest{Tukey: true}, d)
		statstest.Fatal(t, err)
		if !statstest.Agree(f, pair, 1e-9) || !statstest.Agree(tukey, pair, 1e-7) {
			t.Errorf("n=%d: F %v, t %v, Tukey %v", n, f, pair, tukey)
		}
	}
}

// Where nothing differs, Tukey finds any pair at the level; where two differ, the chance
// of any is at least that of the two. The least gap of all is no more likely than one pair.
func TestSomePairsSimulated(t *testing.T) {
	d := PanelDesign{Samples: 4}
	none, err := PowerSomePairs(15, 0, 3, d)
	statstest.Fatal(t, err)
	if off := math.Abs(none.Any.Power - 0.05); off > simulated.Margin(0.05, none.Any.Replicates) {
		t.Errorf("any pair found where none differs: %v", none.Any.Power)
	}
	d.Effect = 0.7
	some, err := PowerSomePairs(20, 0, 3, d)
	statstest.Fatal(t, err)
	one, err := PowerPanelPair(20, PairTest{Tukey: true}, d)
	statstest.Fatal(t, err)
	margin := simulated.Margin(one, some.Any.Replicates)
	if some.Any.Power < one-margin || some.All.Power > one+margin || some.Any.Power > one+0.15 {
		t.Errorf("any %v, one %v, all %v", some.Any.Power, one, some.All.Power)
	}
	two, err := PowerSomePairs(20, 0, 3, PanelDesign{Samples: 2, Effect: 0.7})
	statstest.Fatal(t, err)
	alone, err := PowerPanelPair(20, PairTest{}, PanelDesign{Samples: 2, Effect: 0.7})
	statstest.Fatal(t, err)
	if math.Abs(two.All.Power-alone) > simulated.Margin(alone, 10_000) ||
		math.Abs(two.Any.Power-alone) > simulated.Margin(alone, 10_000) {
		t.Errorf("one pair simulated %v and %v, exact %v", two.Any.Power, two.All.Power, alone)
	}
}

// At no effect Friedman's test keeps its level, exactly where the panel is small, and the
// corrected F nearly. Under an effect the F without correction finds no less.
func TestPanelSimulated(t *testing.T) {
	for _, n := range []int{8, 40} {
		null, err := SimulatePanel(n, 0, 1, SimulateFriedman, PanelDesign{Samples: 3})
		statstest.Fatal(t, err)
		if null.Power > 0.05+simulated.Margin(0.05, null.Replicates) || null.Power < 0.03 {
			t.Errorf("Friedman, n=%d: finds %v where nothing is", n, null.Power)
		}
		d := PanelDesign{Samples: 3, Effect: 0.5}
		gg, err := SimulatePanel(n, 0, 1, SimulateRMAnova, d)
		statstest.Fatal(t, err)
		exact := within(n, 3, 0.5/math.Sqrt(3), 1, 0.05)
		if gg.Power > exact+simulated.Margin(exact, gg.Replicates) || gg.Power < exact-0.08 {
			t.Errorf("n=%d: corrected %v, uncorrected %v", n, gg.Power, exact)
		}
	}
}

func BenchmarkSizeBySimulation(b *testing.B) {
	d := PanelDesign{Samples: 6, Effect: 0.3}
	b.Run("some-pairs/t=6/n=60", func(b *testing.B) {
		for b.Loop() {
			if _, err := PowerSomePairs(60, 0, 1, d); err != nil {
				b.Fatal(err)
			}
		}
	})
	for name, test := range map[string]PanelTest{"friedman": SimulateFriedman, "rm-anova": SimulateRMAnova} {
		b.Run(name+"/t=6/n=60", func(b *testing.B) {
			for b.Loop() {
				if _, err := SimulatePanel(60, 0, 1, test, d); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
