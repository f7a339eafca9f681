package ranks

import (
	"math"
	"testing"
)

// Hollander & Wolfe (1973), Nonparametric Statistical Methods, table A.15 (from memory):
// least chi-squared at about the 5 % level with its exact p.
func TestFriedmanCriticalEqualsThePrintedTable(t *testing.T) {
	for _, tc := range []struct {
		n, k int
		want float64
	}{{3, 3, 6}, {4, 3, 6.5}, {5, 3, 6.4}, {6, 3, 7}, {3, 4, 7.4}, {4, 4, 7.8}} {
		got, exact := FriedmanCritical(tc.n, tc.k, 0.05)
		if !exact || math.Abs(got-tc.want) > 1e-9 {
			t.Errorf("%d assessors, %d samples: %v, %v; want %v", tc.n, tc.k, got, exact, tc.want)
		}
	}
	if got, exact := FriedmanCritical(200, 4, 0.05); exact || math.Abs(got-7.814727903251179) > 1e-9 {
		t.Errorf("200 assessors: %v, %v; want the 95 %% point of chi-squared on 3 degrees of freedom", got, exact)
	}
	if got, _ := FriedmanCritical(2, 3, 0.05); !math.IsInf(got, 1) {
		t.Errorf("two assessors of three samples agree by chance 1 time in 6, and %v is significant", got)
	}
}
