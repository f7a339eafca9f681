package dist

import (
	"math"
	"testing"
)

func TestRankDistributionsAgreeAcrossMethods(t *testing.T) {
	// The convolution and the inverted characteristic function must meet.
	for _, n := range []int{100, 119, 120} {
		for _, w := range []int{0, n, n * n / 8, n * (n + 1) / 4} {
			runs := make([]run, n)
			for i := range runs {
				runs[i] = run{i + 1, 1}
			}
			counted, _ := lowerTail(runs, w)
			if inverted := invertSignedRank(n)(w); math.Abs(counted-inverted) > 1e-14 {
				t.Errorf("n=%d w=%d: counted %v, inverted %v", n, w, counted, inverted)
			}
		}
	}
}

// mannWhitneyByRecurrence returns P(U = 0 … last) by the recurrence on the largest
// value: it belongs to x and beats all n values of y, or to y
// (Mann & Whitney 1947, eq. 2). The recurrence runs on probabilities, so
// nothing overflows. Cost: m·n·last.
func mannWhitneyByRecurrence(m, n, last int) []float64 {
	if m > n {
		m, n = n, m
	}
	rows := make([][]float64, m+1) // rows[i] is the distribution for i against j
	for i := range rows {
		rows[i] = make([]float64, last+1)
		rows[i][0] = 1 // against nobody
	}
	for j := 1; j <= n; j++ {
		for i := 1; i <= m; i++ {
			fromX := float64(i) / float64(i+j)
			row, less := rows[i], rows[i-1]
			for u := min(last, i*j); u >= 0; u-- {
				v := row[u] * (1 - fromX)
				if u >= j {
					v += less[u-j] * fromX
				}
				row[u] = v
			}
		}
	}
	return rows[m]
}

func TestMannWhitneyInversionAgrees(t *testing.T) {
	for _, size := range [][2]int{{64, 64}, {70, 90}, {64, 500}} {
		m, n := size[0], size[1]
		cdf := cumulate(mannWhitneyPMF(m, n, m*n/2))
		for _, u := range []int{0, m, m * n / 4, m * n * 2 / 5, m * n / 2} {
			if got := invertMannWhitney(m, n)(u); math.Abs(got-cdf[u]) > 1e-13 {
				t.Errorf("%d against %d at %d: inverted %v, counted %v", m, n, u, got, cdf[u])
			}
		}
	}
}

func TestMannWhitneyDistributionAgreesWithRecurrence(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {1, 9}, {2, 3}, {7, 7}, {12, 30}, {60, 60}, {5, 400}, {90, 100}} {
		m, n := size[0], size[1]
		got, want := mannWhitneyPMF(m, n, m*n/2), mannWhitneyByRecurrence(m, n, m*n/2)
		worst := 0.0
		for u := range want {
			worst = max(worst, math.Abs(got[u]-want[u])/want[u])
		}
		if worst > 1e-10 {
			t.Errorf("%d against %d: relative difference %v", m, n, worst)
		}
		t.Logf("%d against %d: relative difference %.2g", m, n, worst)
	}
}
