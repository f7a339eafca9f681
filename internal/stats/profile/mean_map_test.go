package profile

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/stats"
)

func TestPrincipalComponentsProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n, p := rapid.IntRange(4, 12).Draw(t, "n"), rapid.IntRange(2, 5).Draw(t, "p")
		table := make([][]float64, n)
		for i := range table {
			for range p {
				table[i] = append(table[i], rapid.Float64Range(0, 9).Draw(t, "v"))
			}
		}
		r, err := PrincipalComponents(table)
		if errors.Is(err, ErrConstantColumn) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		total := 0.0
		for c, v := range r.Eigenvalues {
			total += v
			if v < 0 || c > 0 && v > r.Eigenvalues[c-1]+1e-12 {
				t.Errorf("eigenvalues %v", r.Eigenvalues)
			}
			// Scores of a component have its eigenvalue as variance and mean 0.
			scores := make([]float64, n)
			for i := range scores {
				scores[i] = r.Scores[i][c]
			}
			if math.Abs(stats.Variance(scores)-v) > 1e-8 || math.Abs(stats.Mean(scores)) > 1e-9 {
				t.Errorf("component %d: variance %v, eigenvalue %v", c, stats.Variance(scores), v)
			}
		}
		if math.Abs(total-float64(p)) > 1e-9 {
			t.Errorf("eigenvalues sum to %v, want %d", total, p)
		}
		for a := range p { // squared loadings of a column sum to its variance, 1
			sum := 0.0
			for c := range p {
				sum += r.Loadings[a][c] * r.Loadings[a][c]
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("column %d: squared loadings sum to %v", a, sum)
			}
		}
	})
}

// panelOf draws a panel with true sample positions, personal levels and noise.
func panelOf(rng *rand.Rand, assessors int, noise float64) PanelTable {
	truth := [][]float64{{1, 1, 8}, {2, 2, 6}, {5, 4, 5}, {7, 8, 2}, {9, 3, 4}}
	out := make(PanelTable, assessors)
	for i := range out {
		own := rng.NormFloat64()
		for _, row := range truth {
			var r []float64
			for _, v := range row {
				r = append(r, v+own+noise*rng.NormFloat64())
			}
			out[i] = append(out[i], r)
		}
	}
	return out
}

func TestMapMeans(t *testing.T) {
	t.Parallel()
	panel := panelOf(rand.New(rand.NewPCG(1, 1)), 20, 1)
	draw := func() MeanMap {
		m, err := MapMeans(panel, rand.New(rand.NewPCG(2, 2)), MeanMapOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	a, b := draw(), draw()
	for i, e := range a.Ellipses {
		if e != b.Ellipses[i] {
			t.Errorf("ellipse %d differs between equal seeds: %+v %+v", i, e, b.Ellipses[i])
		}
		if !(e.Major >= e.Minor && e.Minor > 0) || e.X != a.PCA.Scores[i][0] || e.Y != a.PCA.Scores[i][1] {
			t.Errorf("ellipse %d: %+v", i, e)
		}
	}
	quiet, err := MapMeans(panelOf(rand.New(rand.NewPCG(1, 1)), 20, 0), rand.New(rand.NewPCG(2, 2)), MeanMapOptions{})
	if err != nil {
		t.Fatal(err)
	}
	// Assessors who differ in level only agree wholly on the map.
	if quiet.Ellipses[0].Major > 1e-9 {
		t.Errorf("ellipse of a panel in full agreement: %+v", quiet.Ellipses[0])
	}
	few, err := MapMeans(panel[:4], rand.New(rand.NewPCG(2, 2)), MeanMapOptions{})
	if err != nil || len(few.Warnings) == 0 {
		t.Errorf("four assessors: warnings %v, %v", few.Warnings, err)
	}
	for name, p := range map[string]PanelTable{"one assessor": panel[:1], "nobody": nil,
		"uneven": {panel[0], panel[1][:3]}} {
		if _, err := MapMeans(p, rand.New(rand.NewPCG(2, 2)), MeanMapOptions{}); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
	if _, err := MapMeans(panel, nil, MeanMapOptions{}); err == nil {
		t.Error("no random source accepted")
	}
}

// The spread that the bootstrap finds is that between fresh panels: the mean
// half axis agrees with the scatter of the maps of 300 new panels.
func TestMapMeansAgreesWithFreshPanels(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 3))
	m, err := MapMeans(panelOf(rng, 60, 1.5), rng, MeanMapOptions{Draws: 1000})
	if err != nil {
		t.Fatal(err)
	}
	points := make([][][2]float64, len(m.Ellipses))
	for range 300 {
		fresh := panelOf(rng, 60, 1.5)
		everyone := make([]int, len(fresh))
		for i := range everyone {
			everyone[i] = i
		}
		means := fresh.means(everyone)
		centreOn(means, m.PCA.centre)
		for s, row := range means {
			score := m.PCA.Project(row)
			points[s] = append(points[s], [2]float64{score[0], score[1]})
		}
	}
	for s, p := range points {
		want, got := ellipse(p, m.PCA.Scores[s], 0.95), m.Ellipses[s]
		if r := got.Major / want.Major; r < 0.75 || r > 1.33 {
			t.Errorf("sample %d: half axis %.4f, between fresh panels %.4f", s, got.Major, want.Major)
		}
	}
}

func TestEllipseOfKnownScatter(t *testing.T) {
	t.Parallel()
	// Points on a cross with variances 8/3 and 2/3 per axis, turned by 30°.
	turn := math.Pi / 6
	var points [][2]float64
	for _, p := range [][2]float64{{2, 0}, {-2, 0}, {0, 1}, {0, -1}} {
		points = append(points, [2]float64{p[0]*math.Cos(turn) - p[1]*math.Sin(turn),
			p[0]*math.Sin(turn) + p[1]*math.Cos(turn)})
	}
	e := ellipse(points, []float64{1, 2}, 0.95)
	size := -2 * math.Log(0.05) // the χ² quantile on 2 df
	if math.Abs(e.Angle-turn) > 1e-12 || math.Abs(e.Major-math.Sqrt(size*8/3)) > 1e-9 ||
		math.Abs(e.Minor-math.Sqrt(size*2/3)) > 1e-9 || e.X != 1 || e.Y != 2 {
		t.Errorf("%+v", e)
	}
}

func BenchmarkMapMeans(b *testing.B) {
	panel := panelOf(rand.New(rand.NewPCG(1, 1)), 100, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := MapMeans(panel, rand.New(rand.NewPCG(2, 2)), MeanMapOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
