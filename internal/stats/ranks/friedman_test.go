package ranks

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/statstest"
)

// Exact tails of Friedman's statistic. Source: Hollander & Wolfe (1973),
// Nonparametric Statistical Methods, Table A.15, written from memory; each row
// is small enough to be counted by hand from the k!ⁿ⁻¹ arrangements.
func TestFriedmanExactTable(t *testing.T) {
	cases := []struct {
		name     string
		rows     [][]float64
		chi2, p  float64
		arranged string
	}{
		{"three samples, three assessors agree", [][]float64{{1, 2, 3}, {1, 2, 3}, {1, 2, 3}}, 6, 1.0 / 36, "1 of 36"},
		{"three samples, two assessors agree", [][]float64{{1, 2, 3}, {1, 2, 3}}, 4, 1.0 / 6, "1 of 6"},
		{"four samples, two assessors agree", [][]float64{{1, 2, 3, 4}, {1, 2, 3, 4}}, 6, 1.0 / 24, "1 of 24"},
		{"three samples, four assessors, 6.5", [][]float64{{1, 2, 3}, {1, 2, 3}, {1, 2, 3}, {2, 1, 3}}, 6.5, 9.0 / 216,
			"0.042 in the table"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Friedman(c.rows)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(r.ChiSq-c.chi2) > 1e-12 || math.Abs(r.ExactP-c.p) > 1e-12 {
				t.Errorf("chi2 %v, exact p %v; want %v, %v (%s)", r.ChiSq, r.ExactP, c.chi2, c.p, c.arranged)
			}
		})
	}
}

// forEachArrangement calls f with every arrangement of the rows' ranks.
func forEachArrangement(ranks [][]int, done [][]int, f func([][]int)) {
	if len(done) == len(ranks) {
		f(done)
		return
	}
	for _, p := range distinctPermutations(ranks[len(done)]) {
		forEachArrangement(ranks, append(done, p), f)
	}
}

func TestExactRankTestsAgreeWithEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := statstest.RatingTable(t, 4, 4)
		f, errF := Friedman(rows)
		p, errP := Page(rows)
		if errF != nil || errP != nil {
			t.Fatal(errF, errP)
		}
		ranks := DoubledRows(rows)
		squares, trend := rankFigures(ranks)
		var all, asHigh, trendHigh, trendLow float64
		forEachArrangement(ranks, nil, func(a [][]int) {
			s, l := rankFigures(a)
			all++
			asHigh += numeric.Indicator(s >= squares)
			trendHigh += numeric.Indicator(l >= trend)
			trendLow += numeric.Indicator(l <= trend)
		})
		if math.IsNaN(f.P) {
			return
		}
		for _, c := range []struct {
			name      string
			got, want float64
		}{{"friedman", f.ExactP, asHigh / all}, {"page up", p.ExactPGreater, trendHigh / all},
			{"page down", p.ExactPLess, trendLow / all}} {
			if math.Abs(c.got-c.want) > 1e-12 {
				t.Fatalf("%s: got %v, counted %v", c.name, c.got, c.want)
			}
		}
	})
}

func rankFigures(ranks [][]int) (squares float64, trend int) {
	sums := make([]int, len(ranks[0]))
	for _, row := range ranks {
		for j, v := range row {
			sums[j] += v
			trend += (j + 1) * v
		}
	}
	for _, v := range sums {
		squares += float64(v * v)
	}
	return squares, trend
}

func TestFriedmanProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := statstest.RatingTable(t, 12, 6)
		r, err := Friedman(rows)
		if err != nil {
			t.Fatal(err)
		}
		if math.IsNaN(r.P) {
			if len(r.Warnings) == 0 {
				t.Fatal("no p and no warning")
			}
			return
		}
		moved, _ := Friedman(statstest.MapTable(rows, func(i int, v float64) float64 {
			return math.Exp(v/3) + 100*float64(i)
		}))
		if math.Abs(moved.ChiSq-r.ChiSq) > 1e-9 {
			t.Fatalf("a rising transformation of each assessor's ratings changed chi2: %v to %v", r.ChiSq, moved.ChiSq)
		}
		turned, _ := Friedman(statstest.MapTable(rows, func(_ int, v float64) float64 { return -v }))
		if math.Abs(turned.ChiSq-r.ChiSq) > 1e-9 {
			t.Fatalf("turning the scale round changed chi2: %v to %v", r.ChiSq, turned.ChiSq)
		}
		if r.W < 0 || r.W > 1+1e-12 || r.P < 0 || r.P > 1 {
			t.Fatalf("W = %v, p = %v", r.W, r.P)
		}
	})
}

func TestFriedmanEdges(t *testing.T) {
	nan := math.NaN()
	cases := []struct {
		name string
		rows [][]float64
		code string
		n    int
	}{
		{"all tied", [][]float64{{3, 3, 3}, {5, 5, 5}}, stats.WarnAllTied, 2},
		{"one assessor", [][]float64{{1, 2, 3}}, stats.WarnTooFew, 1},
		{"a missing cell", [][]float64{{1, 2, 3}, {2, nan, 1}, {2, 3, 1}}, stats.WarnIncompleteRows, 2},
		{"only incomplete rows", [][]float64{{nan, 2}}, stats.WarnTooFew, 0},
		{"complete agreement", [][]float64{{1, 2, 3}, {2, 4, 6}}, stats.WarnNoErrorSpread, 2},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Friedman(c.rows)
			if err != nil {
				t.Fatal(err)
			}
			if r.N != c.n || !slices.ContainsFunc(r.Warnings, func(w stats.Warning) bool { return w.Code == c.code }) {
				t.Errorf("n = %d, warnings %v; want n = %d and %s", r.N, r.Warnings, c.n, c.code)
			}
		})
	}
	rounding := [][]float64{{1.3, 3.3 - 2, 5}, {1, 2, 3}}
	if r, _ := Friedman(rounding); r.RankSums[0] != 2.5 {
		t.Errorf("values that differ by rounding error must tie: rank sums %v", r.RankSums)
	}
}

func BenchmarkFriedman(b *testing.B) {
	for _, n := range []int{24, 200, 2000} {
		rows := statstest.SimulatedTable(statstest.NewTestRand(1), n, 6, 0)
		b.Run("k=6/n="+strconv.Itoa(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Friedman(rows); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
