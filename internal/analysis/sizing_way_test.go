package analysis_test

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/simulated"
	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// promisedSize sizes the example of two names that promise, of n people, with a difference to act on and a spread.
func promisedSize(t testing.TB, n int, difference, sd float64, change func(*study.Study)) *analysis.Size {
	t.Helper()
	text, err := os.ReadFile("../../studies/promised-sweet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse("promised-sweet.yaml", text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	s.Plan.SmallestEffect, s.Panel.Assessors = difference, n
	if change != nil {
		change(s)
	}
	q, err := analysis.SizingOf(s)
	if err != nil {
		t.Fatal(err)
	}
	q.Spread = analysis.GivenSpread(sd)
	z, err := analysis.FindSize(q)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// TestWayAheadIsTheSize: a share has two ends as often as a paired t test tells expected from blind, and is clear
// of 0 about as often as one tells named from blind: both by the noncentral t. A gap of 0.8 errors of a rating
// leaves it without two ends in 26 % of studies of 30 people and 4 % of 60 (an independent simulation of 2,000).
func TestWayAheadIsTheSize(t *testing.T) {
	t.Parallel()
	for n, open := range map[int]float64{30: 0.26, 60: 0.04} {
		const sigma = 10.
		z := promisedSize(t, n, 0.4*sigma, math.Sqrt2*sigma, nil)
		if z.Way == nil || z.Way.Assessors != n || len(z.Way.Rows) != 3 {
			t.Fatalf("%+v", z.Way)
		}
		for i, row := range z.Way.Rows {
			power := func(mean, variance float64) float64 {
				p, err := size.PowerT(n, size.TDesign{Effect: mean / math.Sqrt(variance), Alpha: 0.05})
				if err != nil {
					t.Fatal(err)
				}
				return p.Power
			}
			if want := float64(i+2) * 0.4 * sigma; math.Abs(row.Gap-want) > 1e-9 {
				t.Errorf("row %d is of a gap of %v, want %v", i, row.Gap, want)
			}
			named := power(row.Gap, sigma*sigma*(0.64+2))
			if math.Abs(row.Named-named) > simulated.Margin(named, z.Way.Studies) {
				t.Errorf("%d people, gap %g: %v with two ends, by the t test %v", n, row.Gap, row.Named, named)
			}
			drawn := power(row.Gap/2, sigma*sigma*(0.16+2))
			if row.Drawn > drawn+simulated.Margin(drawn, z.Way.Studies) || row.Drawn < drawn-(1-named)-0.05 {
				t.Errorf("%d people, gap %g: clear of 0 in %v, by the t test %v", n, row.Gap, row.Drawn, drawn)
			}
		}
		if got := 1 - z.Way.Rows[0].Named; math.Abs(got-open) > simulated.Margin(open, 2000) {
			t.Errorf("%d people: %v of studies leave the share open, want %v", n, got, open)
		}
	}
}

// TestWayAheadIsWhatComes: people who are simulated one by one, through the analysis's own formula, give the same
// reach, and as many of the needed panel's studies know the share well enough as were wished for.
func TestWayAheadIsWhatComes(t *testing.T) {
	t.Parallel()
	const sigma, gap, studies = 8., 20., 1000
	z := promisedSize(t, 60, gap/2, math.Sqrt2*sigma, nil)
	row := z.Way.Rows[0]
	if row.Gap != gap || row.Needed < 10 || row.Needed > 200 {
		t.Fatalf("%+v", row)
	}
	random := rand.New(rand.NewPCG(5, 1))
	reach := func(n int) (middle, well float64) {
		var halves []float64
		for range studies {
			var said, blind, named []float64
			for range n {
				own, g := 50+9*random.NormFloat64(), gap+0.8*sigma*random.NormFloat64()
				said = append(said, own+g+sigma*random.NormFloat64())
				blind = append(blind, own+sigma*random.NormFloat64())
				named = append(named, own+g/2+sigma*random.NormFloat64())
			}
			r, err := dose.ExpectedAndInformed(said, blind, named, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if r.Fieller.Type != dose.Bounded {
				continue
			}
			half := (r.Fieller.CI.Hi - r.Fieller.CI.Lo) / 2
			if halves = append(halves, half); half <= analysis.WayWithin {
				well++
			}
		}
		slices.Sort(halves)
		return stats.MedianOfSorted(halves), well / studies
	}
	if came, _ := reach(60); math.Abs(came-row.Reach) > 0.05*came {
		t.Errorf("told %.3f of the way up and down, came %.3f", row.Reach, came)
	}
	if _, well := reach(row.Needed); math.Abs(well-0.8) > 2*simulated.Margin(0.8, studies) {
		t.Errorf("of %d people %v know it well enough, want 0.8", row.Needed, well)
	}
}

// TestWayAheadCountsWhoIsAsked: half of the panel when half is asked, nobody where no name is read, and no promise
// is longer than the scale.
func TestWayAheadCountsWhoIsAsked(t *testing.T) {
	t.Parallel()
	whole := promisedSize(t, 60, 10, 12, nil)
	half := promisedSize(t, 60, 10, 12, func(s *study.Study) { s.Serving.AskHalf = true })
	if half.Way.Assessors != 30 {
		t.Errorf("of 60 people %d are asked, want 30", half.Way.Assessors)
	}
	if a, b := whole.Way.Rows[0].Needed, half.Way.Rows[0].Needed; b != 2*a || a == 0 {
		t.Errorf("%d are needed, and %d where half is asked; want twice as many", a, b)
	}
	if z := promisedSize(t, 60, 10, 12, func(s *study.Study) { s.Serving.Expectation = false }); z.Way != nil {
		t.Errorf("nobody is asked: %+v", z.Way)
	}
	if z := promisedSize(t, 60, 30, 12, nil); len(z.Way.Rows) != 2 || z.Way.Rows[1].Gap != 90 {
		t.Errorf("a scale of 100 points and 30 to act on: %+v", z.Way)
	}
	if z := promisedSize(t, 60, 0.01, 40, nil); z.Way.Rows[0].Needed != 0 {
		t.Errorf("no panel knows the share of a promise of 0.02 points: %+v", z.Way.Rows[0])
	}
}

// The size is worked out while somebody waits for the page.
func BenchmarkWayAhead(b *testing.B) {
	for b.Loop() {
		promisedSize(b, 1500, 2, 40, nil)
	}
}
