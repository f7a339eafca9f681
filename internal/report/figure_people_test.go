package report_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"cloche/internal/report"
	"cloche/internal/stats"
)

// TestEverybodysOwnDifferenceIsDrawn: where people differ, each has a dot at the effect that is
// estimated to be their own, inside its interval, beside the mean of what they
// said, and a row of numbers; where they were not found to differ, nothing is drawn of them.
func TestEverybodysOwnDifferenceIsDrawn(t *testing.T) {
	drawn, left := 0, 0
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 53))
		s := twiceEach(2 + int(seed%3))
		sd, noise := []float64{0, 3, 9, 20}[random.IntN(4)], []float64{0, 4, 12}[random.IntN(3)]
		r := analyse(t, s, tastedAgain(random, s, 2+random.IntN(40), sd, noise))
		p := r.Findings[0].People
		c := drawnCase{s, r, report.Build(s, r, report.Options{})}
		where := fmt.Sprintf("seed %d, %g, %g", seed, sd, noise)
		f, ok := c.figure("people")
		if want := p.P < 0.05 && p.SDPeople > 0 && p.SDReplicate > 0; ok != want {
			t.Errorf("%s: drawn is %t of %+v", where, ok, p.PeopleDifferResult)
		}
		if !ok {
			left++
			continue
		}
		drawn++
		o := optionOf(t, f)
		own, said, ends := o.named("own"), o.named("said"), o.named("interval")
		if len(own) != p.N || len(said) != p.N || len(ends) != 2*p.N || len(f.Data.Rows) != p.N {
			t.Fatalf("%s: %d dots, %d means, %d ends and %d rows of %d people", where, len(own), len(said), len(ends),
				len(f.Data.Rows), p.N)
		}
		for at, dot := range own {
			i := slices.IndexFunc(p.Shrunken, func(v float64) bool { return v == dot[0] })
			if i < 0 || !slices.ContainsFunc(p.Each, func(each []float64) bool {
				return math.Abs(stats.Mean(each)-said[at][0]) < 1e-9
			}) {
				t.Errorf("%s: a dot at %v and a mean at %v are nobody's", where, dot, said[at])
			}
			lo, hi := ends[2*at][0], ends[2*at+1][0]
			if i >= 0 && math.Abs(hi-lo-2*p.ShrunkenHalf[i]) > 1e-9 || math.Abs((hi+lo)/2-dot[0]) > 1e-9 ||
				dot[1] != float64(at) {
				t.Errorf("%s: the interval %g to %g of the dot %v", where, lo, hi, dot)
			}
			if at > 0 && dot[0] < own[at-1][0] {
				t.Errorf("%s: %v stands above %v", where, dot, own[at-1])
			}
			if beyond := math.Abs(dot[0]-p.Mean) - math.Abs(said[at][0]-p.Mean); beyond > 1e-9 {
				t.Errorf("%s: %v lies further from the mean than what was said, %v", where, dot, said[at])
			}
		}
		for _, x := range o.Series {
			for _, d := range x.Data {
				if !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
					t.Errorf("%s: %s at %v lies beyond its axes", where, x.Name, d.Value)
				}
			}
		}
		if strings.Contains(f.Alt, "NaN") || !strings.Contains(f.Alt, fmt.Sprint(p.N)) {
			t.Errorf("%s: %q", where, f.Alt)
		}
	}
	if drawn < 10 || left < 10 {
		t.Errorf("%d drawn, %d left out", drawn, left)
	}
}
