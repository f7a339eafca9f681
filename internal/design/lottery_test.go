package design

import (
	"fmt"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/simulated"
	"cloche/internal/study"
)

// chiSquare compares counts with equal expectations and fails when the statistic
// is beyond the 1e-6 quantile (Pearson 1900; the seeds are fixed, so a pass is a
// pass for good).
func chiSquare(t *testing.T, what string, counts []int) {
	t.Helper()
	n := total(counts)
	expected := float64(n) / float64(len(counts))
	statistic := 0.0
	for _, c := range counts {
		d := float64(c) - expected
		statistic += d * d / expected
	}
	limit := distuv.ChiSquared{K: float64(len(counts) - 1)}.Quantile(1 - 1e-6)
	if statistic > limit {
		t.Errorf("%s: chi-square %.1f on %d df, beyond %.1f (n = %d)", what, statistic, len(counts)-1, limit, n)
	}
}

// lotterySeeds is how many plans are drawn. With a thousand, one order of six that comes
// up half as often as it ought makes a statistic of about 55, the limit being 36.
var lotterySeeds = simulated.Studies(10_000)

// TestLotteryOfOrders: over many seeds every assessor gets every order equally
// often, and meets each sample at each position equally often.
func TestLotteryOfOrders(t *testing.T) {
	someOf5 := tasting(5, 12)
	someOf5.Serving.Design, someOf5.Serving.PerAssessor = study.Some, 3
	apart := naming(2, 2, false, 5)
	apart.Panel.Sittings = 2
	apart.Serving.KeepDishesApart = true
	gaps := naming(2, 2, false, 4)
	gaps.Samples = gaps.Samples[:3]
	gaps.Panel.Sittings = 2
	gaps.Serving.KeepDishesApart = true
	tests := []struct {
		name   string
		s      *study.Study
		orders int
	}{
		{"kept apart, gaps", gaps, 6},
		{"all of 3, odd", tasting(3, 9), 6},
		{"all of 4, even", tasting(4, 6), 24},
		{"3 of 5", someOf5, 60},
		{"kept apart", apart, 16}, // 2 orders of dishes at each sitting, 2 × 2 names at the first
		{"triangle", difference(study.Triangle, 7, 1), 6},
		{"duo-trio", difference(study.DuoTrio, 5, 1), 4},
		{"tetrad", difference(study.Tetrad, 7, 1), 6},
		{"a-not-a, three", difference(study.ANotA, 7, 3), 6},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			n := tc.s.Panel.Assessors
			orders := make([]map[string]int, n)
			at := make([][][]int, n)
			for seed := range uint64(lotterySeeds) {
				p := mustDraw(t, tc.s, Options{Seed: seed})
				for i := range n {
					v := p.Assessor(i)
					if orders[i] == nil {
						orders[i], at[i] = map[string]int{}, newTable(len(v), len(p.Samples))
					}
					row := make([]int32, len(v))
					for j := range v {
						row[j] = v[j].Sample
						at[i][j][v[j].Sample]++
					}
					orders[i][lettersOf(row)]++
				}
			}
			for i := range n {
				var counts []int
				for _, c := range orders[i] {
					counts = append(counts, c)
				}
				if len(counts) != tc.orders {
					t.Fatalf("assessor %d met %d orders, want %d", i, len(counts), tc.orders)
				}
				chiSquare(t, fmt.Sprintf("orders of assessor %d", i), counts)
				for j, c := range at[i] {
					chiSquare(t, fmt.Sprintf("samples of assessor %d at position %d", i, j+1), c)
				}
			}
		})
	}
}

func TestLotteryOfOne(t *testing.T) {
	s := tasting(3, 10)
	s.Serving.Design = study.One
	minimised := tasting(3, 10)
	minimised.Serving.Design, minimised.Serving.Minimise = study.One, true
	minimised.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}}}
	for name, s := range map[string]*study.Study{"blocks": s, "minimised": minimised} {
		t.Run(name, func(t *testing.T) {
			counts := newTable(10, 3)
			for seed := range uint64(lotterySeeds) {
				p := mustDraw(t, s, Options{Seed: seed})
				for i := range 10 {
					counts[i][p.Assessor(i)[0].Sample]++
				}
			}
			for i, c := range counts {
				chiSquare(t, fmt.Sprintf("sample of assessor %d", i), c)
			}
		})
	}
}

func TestLotteryOfCodes(t *testing.T) {
	s := tasting(2, 5)
	s.Serving.Codes, s.Serving.SpareCodes = study.CodePerServing, 2
	allowed := allowedCodes()
	index := map[Code]int{}
	for i, c := range allowed {
		index[c] = i
	}
	first, all, spare := make([]int, len(allowed)), make([]int, len(allowed)), make([]int, len(allowed))
	for seed := range uint64(lotterySeeds) {
		p := mustDraw(t, s, Options{Seed: seed})
		for i, v := range p.Servings {
			at, ok := index[v.Code]
			if !ok {
				t.Fatalf("code %s is not allowed", v.Code)
			}
			all[at]++
			if i == 0 {
				first[at]++
			}
		}
		for _, c := range p.Spares[0] {
			spare[index[c]]++
		}
	}
	chiSquare(t, "code of the first serving", first)
	chiSquare(t, "codes of all servings", all)
	chiSquare(t, "spare codes", spare)
}

func TestBelowIsUniform(t *testing.T) {
	for _, n := range []int{2, 3, 6, 10, 837} {
		r := newStream(1, "uniform")
		counts := make([]int, n)
		for range 200 * n {
			counts[r.below(n)]++
		}
		chiSquare(t, fmt.Sprintf("numbers below %d", n), counts)
	}
}

// The stream is documented so that it can be built elsewhere: the key is a
// SHA-256 (checked with sha256sum, GNU coreutils: printf 'cloche/design\norders\n
// \0\0\0\0\0\0\0\7' without the line break), the generator is ChaCha8.
func TestKeyOfAStream(t *testing.T) {
	got := fmt.Sprintf("%x", streamKey(7, "orders"))
	if want := "1fc46e4265bfe521a5123c70426f98263edc6f422fc5bcb4bdb251c9ab1c96e4"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
