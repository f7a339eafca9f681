package anova_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/stats/anova"
)

// indicators are the columns of a factor.
func indicators(levels int, codes []int) [][]float64 {
	columns := make([][]float64, levels)
	for j := range columns {
		columns[j] = make([]float64, len(codes))
		for i, c := range codes {
			if c == j {
				columns[j][i] = 1
			}
		}
	}
	return columns
}

func TestComparable(t *testing.T) {
	for _, tc := range []struct {
		name         string
		base, levels []int // codes of two factors
		want         [][]int
	}{
		{"crossed", []int{0, 0, 0, 1, 1, 1}, []int{0, 1, 2, 0, 1, 2}, [][]int{{0, 1, 2}}},
		{"each level of one in one of the other", []int{0, 0, 1, 1, 2, 2}, []int{0, 0, 1, 1, 2, 2},
			[][]int{{0}, {1}, {2}}},
		{"two parts", []int{0, 1, 0, 1, 2, 3, 2, 3}, []int{0, 0, 1, 1, 2, 2, 3, 3}, [][]int{{0, 1}, {2, 3}}},
		{"a chain", []int{0, 0, 1, 1}, []int{0, 1, 1, 2}, [][]int{{0, 1, 2}}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if diff := cmp.Diff(tc.want, anova.Comparable(indicators(4, tc.base),
				indicators(len(flat(tc.want)), tc.levels))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func flat(groups [][]int) (all []int) {
	for _, g := range groups {
		all = append(all, g...)
	}
	return all
}

// A column that others explain changes nothing, neither in base nor among the tested.
func TestPartialFKnowsItsRank(t *testing.T) {
	random := rand.New(rand.NewPCG(1971, 3))
	y := make([]float64, 24)
	codes, base := make([]int, 24), make([]int, 24)
	for i := range y {
		y[i], codes[i], base[i] = random.NormFloat64(), i%3, i/3%4
	}
	b, c := indicators(4, base), indicators(3, codes)
	want := anova.PartialF(y, b, c, 0)
	sum := make([]float64, len(y))
	for i := range sum {
		sum[i] = c[0][i] - 2*c[2][i] + b[1][i]
	}
	for name, got := range map[string]anova.PartialFResult{
		"among the tested": anova.PartialF(y, b, append(c[:3:3], sum), 0),
		"in base":          anova.PartialF(y, append(b[:4:4], b[1]), c, 0),
	} {
		if math.Abs(got.F-want.F) > 1e-10*want.F || got.DF1 != 2 || got.DF2 != 18 || want.DF1 != 2 || want.DF2 != 18 {
			t.Errorf("%s: got %+v, want %+v", name, got, want)
		}
	}
	if got := anova.PartialF(y, c, c[:2], 0); got.DF1 != 0 || !math.IsNaN(got.F) || got.NoScatter {
		t.Errorf("nothing to test: %+v", got)
	}
	if got := anova.PartialF(c[0], b, c, 0); !got.NoScatter || !math.IsNaN(got.F) {
		t.Errorf("no scatter: %+v", got)
	}
}
