package anova

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

// Effort to rise from four types of stool, nine subjects: Pinheiro & Bates
// (2000), Mixed-Effects Models in S and S-PLUS, section 1.2 (data ergoStool of
// R's nlme, from memory in part; the figures were computed with R 4.2).
var ergoStool = [][]float64{
	{12, 15, 12, 10}, {10, 14, 13, 12}, {7, 14, 13, 9}, {7, 11, 10, 9}, {8, 11, 8, 7},
	{9, 11, 11, 10}, {8, 12, 12, 11}, {7, 11, 8, 7}, {9, 13, 10, 8},
}

func TestRMAnovaErgoStool(t *testing.T) {
	r, err := Repeated(ergoStool, RepeatedOptions{})
	if err != nil {
		t.Fatal(err)
	}
	const source = "R 4.2 aov, TukeyHSD on nlme::ergoStool"
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"F", r.F, 22.35564}, {"mean T1", r.Means[0], 8.5556}, {"mean T2", r.Means[1], 12.4444},
		{"mean T3", r.Means[2], 10.7778}, {"mean T4", r.Means[3], 9.2222},
		{"LSD", r.LSD, 1.07051}, {"HSD", (r.Pairs[0].Tukey.Hi - r.Pairs[0].Tukey.Lo) / 2, 1.43085},
		{"residual SD", math.Sqrt(r.MSError), 1.100295},
	} {
		if math.Abs(c.got-c.want) > 6e-6*math.Max(1, c.want) && math.Abs(c.got-c.want) > 6e-5 {
			t.Errorf("%s: got %.6f, want %v (%s)", c.name, c.got, c.want, source)
		}
	}
}

func TestRMAnovaProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := statstest.RatingTable(t, 12, 5)
		r, err := Repeated(rows, RepeatedOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if math.IsNaN(r.F) {
			if len(r.Warnings) == 0 {
				t.Fatal("no F and no warning")
			}
			return
		}
		moved, _ := Repeated(statstest.MapTable(rows, func(i int, v float64) float64 {
			return 3*v + 7*float64(i) - 20
		}), RepeatedOptions{})
		if !statstest.Near(moved.F, r.F, 1e-9) || !statstest.Near(moved.Sphericity.GG, r.Sphericity.GG, 1e-9) &&
			r.Sphericity.Available {
			t.Fatalf("scale and assessor shifts changed F or ε: %v %v, %v %v", r.F, moved.F, r.Sphericity.GG,
				moved.Sphericity.GG)
		}
		if r.K == 2 && !math.IsNaN(r.Pairs[0].TPaired) &&
			!statstest.Near(r.F, r.Pairs[0].TPaired*r.Pairs[0].TPaired, 1e-9) {
			t.Fatalf("two samples: F %v, t² %v", r.F, r.Pairs[0].TPaired*r.Pairs[0].TPaired)
		}
		if s := r.Sphericity; s.Available {
			low := 1 / float64(r.K-1)
			if s.GG < low-1e-9 || s.GG > 1+1e-9 || s.MauchlyW < 0 || s.MauchlyW > 1+1e-9 || r.P < 0.05 &&
				s.GGP < r.P*(1-1e-9) {
				t.Fatalf("sphericity out of bounds: %+v", s)
			}
		}
		for _, p := range r.Pairs {
			if p.PTukey < p.PLSD*(1-1e-9) || p.Tukey.Lo > p.Diff || p.Tukey.Hi < p.Diff {
				t.Fatalf("pair %+v", p)
			}
		}
	})
}

// A table of dish × name is a one-way table of its cells, split in three.
func TestRMAnovaTwoWaySplitsTheCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, a, b := rapid.IntRange(2, 9).Draw(t, "assessors"), rapid.IntRange(2, 4).Draw(t, "dishes"),
			rapid.IntRange(2, 3).Draw(t, "names")
		cells, flat := make([][][]float64, n), make([][]float64, n)
		for i := range n {
			for range a {
				var row []float64
				for range b {
					row = append(row, float64(rapid.IntRange(0, 100).Draw(t, "rating")))
				}
				cells[i] = append(cells[i], row)
				flat[i] = append(flat[i], row...)
			}
		}
		two, err := RepeatedTwoWay(cells)
		if err != nil {
			t.Fatal(err)
		}
		one, _ := Repeated(flat, RepeatedOptions{})
		if ss := two.A.SS + two.B.SS + two.AB.SS; !statstest.Near(ss, one.SSSample, 1e-9) {
			t.Fatalf("effects sum to %v, cells have %v", ss, one.SSSample)
		}
		if ss := two.A.SSError + two.B.SSError + two.AB.SSError; !statstest.Near(ss, one.SSError, 1e-9) {
			t.Fatalf("errors sum to %v, cells have %v", ss, one.SSError)
		}
	})
}

func TestRMAnovaEdges(t *testing.T) {
	nan := math.NaN()
	cases := []struct {
		name string
		rows [][]float64
		code string
	}{
		{"constant", [][]float64{{4, 4, 4}, {4, 4, 4}, {4, 4, 4}, {4, 4, 4}}, stats.WarnConstant},
		{"assessors differ, samples do not", [][]float64{{1, 1}, {2, 2}, {7, 7}}, stats.WarnNoErrorSpread},
		{"all move alike", [][]float64{{1.1, 2.3, 3}, {2.2, 3.4, 4.1}, {7.7, 8.9, 9.6}}, stats.WarnNoErrorSpread},
		{"one assessor", [][]float64{{1, 2, 4}}, stats.WarnTooFew},
		{"two assessors, three samples", [][]float64{{1, 2, 4}, {3, 3, 1}}, stats.WarnSphericity},
		{"missing cells", [][]float64{{1, 2, 4}, {3, 3, 1}, {nan, 1, 2}, {5, 6, 2}}, stats.WarnIncompleteRows},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Repeated(c.rows, RepeatedOptions{})
			if err != nil {
				t.Fatal(err)
			}
			if !statstest.HasWarning(r.Warnings, c.code) {
				t.Errorf("warnings %v, want %s", r.Warnings, c.code)
			}
		})
	}
}

func BenchmarkRMAnova(b *testing.B) {
	for _, n := range []int{24, 200, 2000} {
		rows := statstest.SimulatedTable(statstest.NewTestRand(1), n, 6, 0)
		b.Run("k=6/n="+strconv.Itoa(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Repeated(rows, RepeatedOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
