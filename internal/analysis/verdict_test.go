package analysis

import (
	"fmt"
	"testing"

	"cloche/internal/stats"
)

// The table of verdicts over a grid of intervals, margins and numbers of people, ends
// and borders included. What the table calls beyond and inside is held here against
// the points of the interval at 1 − alpha and of the one within it at 1 − 2·alpha.
func TestTableOfVerdicts(t *testing.T) {
	ends := []float64{-10, -5.01, -5, -4.99, -1, 0, 1, 4.99, 5, 5.01, 10}
	seen := map[VerdictCode]bool{}
	for _, margin := range []float64{0, 5} {
		for _, n := range []int{0, 1, 5, 6, 40} {
			for i := range ends {
				for j := i; j < len(ends); j++ {
					for k := range 8 {
						e := evidence{n: n, fewest: 6, found: k&1 > 0, sameness: k&2 > 0}
						ci := stats.Interval{Lo: ends[i], Hi: ends[j], Level: 0.95}
						same := stats.Interval{Lo: ends[i], Hi: ends[j], Level: 0.9}
						if k&4 > 0 && j-i > 1 {
							same.Lo, same.Hi = ends[i+1], ends[j-1]
						}
						e.beyond, e.inside = beyond(ci, margin), inside(same, margin)
						got, want := e.code(), fromPoints(e, ci, same, margin, ends)
						seen[got] = true
						if got != want {
							t.Errorf("%+v, intervals %v and %v, margin %g: got %s, want %s", e, ci, same, margin, got,
								want)
						}
					}
				}
			}
		}
	}
	if len(seen) != 6 {
		t.Errorf("the grid reaches %v of the six verdicts", seen)
	}
}

func fromPoints(e evidence, ci, same stats.Interval, margin float64, points []float64) VerdictCode {
	near, below, above, far := 0, 0, 0, 0
	for _, x := range points {
		nearer := x < margin && -x < margin
		if x >= ci.Lo && x <= ci.Hi {
			if nearer {
				near++
			}
			if x < 0 {
				below++
			} else {
				above++
			}
		}
		if x >= same.Lo && x <= same.Hi && !nearer {
			far++
		}
	}
	stated := margin > 0
	switch {
	case e.n < e.fewest:
		return "too-few"
	case e.sameness && stated && far == 0:
		return "alike"
	case e.found && stated && near == 0 && (below == 0 || above == 0):
		return "different-act"
	case e.found && stated && far == 0:
		return "different-small"
	case e.found:
		return "different-size-open"
	case stated && far == 0:
		return "alike"
	}
	return "open"
}

// With fewer pairs, the most lopsided result of a rank or sign test stays above alpha.
func TestFewestForAVerdict(t *testing.T) {
	for _, tc := range []struct {
		alpha float64
		want  int
	}{{0.05, 6}, {0.1, 6}, {0.5, 6}, {0.01, 8}, {0.001, 11}} {
		t.Run(fmt.Sprint(tc.alpha), func(t *testing.T) {
			if got := Fewest(tc.alpha); got != tc.want {
				t.Errorf("got %d, want %d: the least n of 6 or more with 2/2ⁿ below alpha", got, tc.want)
			}
		})
	}
}
