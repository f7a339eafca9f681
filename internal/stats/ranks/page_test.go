package ranks

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats"
	"cloche/internal/stats/statstest"
)

func TestPageSmallPanels(t *testing.T) {
	cases := []struct {
		name, source string
		rows         [][]float64
		l, p         float64
	}{
		{"two assessors in the predicted order", "counted: 1 of 36 arrangements", [][]float64{{1, 2, 3}, {1, 2, 3}}, 28,
			1.0 / 36},
		{"one neighbour pair swapped", "counted: 5 of 36 arrangements reach 27", [][]float64{{1, 2, 3}, {1, 3, 2}}, 27,
			5.0 / 36},
		{"one assessor against the prediction", "counted: all of 6", [][]float64{{3, 2, 1}}, 10, 1},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Page(c.rows)
			if err != nil {
				t.Fatal(err)
			}
			if r.L != c.l || math.Abs(r.ExactPGreater-c.p) > 1e-14 {
				t.Errorf("L %v, p %v; want %v, %v (%s)", r.L, r.ExactPGreater, c.l, c.p, c.source)
			}
		})
	}
}

// Cotton strength at five potash levels in three blocks: Hollander & Wolfe
// (1973), data from memory; L and z computed with R from the formula.
func TestPagePotash(t *testing.T) {
	r, err := Page([][]float64{{7.46, 7.17, 7.76, 8.14, 7.63}, {7.68, 7.57, 7.73, 8.15, 8.00},
		{7.21, 7.80, 7.74, 7.87, 7.93}})
	if err != nil {
		t.Fatal(err)
	}
	if r.L != 158 || math.Abs(r.Z-2.65581) > 1e-5 {
		t.Errorf("L %v, z %v; want 158, 2.65581", r.L, r.Z)
	}
}

func TestPageProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := statstest.RatingTable(t, 15, 6)
		r, err := Page(rows)
		if err != nil {
			t.Fatal(err)
		}
		if math.IsNaN(r.P) {
			return
		}
		if sum := r.ExactPGreater + r.ExactPLess; sum < 1-1e-12 {
			t.Fatalf("the two tails share the observed value: sum %v", sum)
		}
		turned, _ := Page(statstest.MapTable(rows, func(_ int, v float64) float64 { return -v }))
		if math.Abs(turned.ExactPLess-r.ExactPGreater) > 1e-12 || math.Abs(turned.Z+r.Z) > 1e-9 {
			t.Fatalf("turning the scale must swap the tails: %v and %v", r, turned)
		}
	})
}

func TestPageLargePanelFallsBack(t *testing.T) {
	rows := statstest.SimulatedTable(statstest.NewTestRand(2), 400, 10, 0)
	r, err := Page(rows)
	if err != nil {
		t.Fatal(err)
	}
	if r.Exact || !math.IsNaN(r.ExactPGreater) || !statstest.HasWarning(r.Warnings, stats.WarnApproximate) ||
		math.IsNaN(r.P) {
		t.Errorf("400 × 10: exact %v, p %v, warnings %v", r.Exact, r.P, r.Warnings)
	}
	few := statstest.SimulatedTable(statstest.NewTestRand(3), 200, 4, 0)
	if r, _ = Page(few); !r.Exact || math.Abs(r.ExactPGreater-r.P) > 0.01 {
		t.Errorf("200 × 4: exact %v and normal %v must be close", r.ExactPGreater, r.P)
	}
}
