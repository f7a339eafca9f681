package ordinal

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/statstest"
)

// drawOrdinal simulates ratings in categories from a latent logistic variable.
func drawOrdinal(rng *rand.Rand, assessors, samples, categories int, sd, effect float64) Model {
	d := model.Data{Factors: []model.Factor{{Name: "assessor", Levels: statstest.Numbered("a", assessors)},
		{Name: "sample", Levels: statstest.Numbered("s", samples)}}}
	for a := range assessors {
		b := sd * rng.NormFloat64()
		for s := range samples {
			u := rng.Float64()
			z := b + effect*float64(s) + math.Log(u/(1-u))
			y := math.Floor((z + 4) / 8 * float64(categories))
			d.Response = append(d.Response, math.Max(0, math.Min(float64(categories-1), y)))
			d.Factors[0].Code = append(d.Factors[0].Code, a)
			d.Factors[1].Code = append(d.Factors[1].Code, s)
		}
	}
	return Model{Data: d, Levels: statstest.Numbered("", categories), Fixed: []model.Term{{"sample"}},
		Group: model.Term{"assessor"}}
}

// One sample alone: the fitted thresholds are the cumulative shares.
func TestOrdinalSaturatedByHand(t *testing.T) {
	counts := []int{3, 5, 12, 4}
	var m Model
	m.Levels = []string{"low", "middle", "high", "top"}
	for c, n := range counts {
		m.Data.Response = append(m.Data.Response, slices.Repeat([]float64{float64(c)}, n)...)
	}
	for _, link := range []Link{Logit, Probit} {
		m.Link = link
		f, err := Fit(m)
		if err != nil {
			t.Fatal(err)
		}
		below, logLik := 0.0, 0.0
		for j, n := range counts {
			logLik += float64(n) * math.Log(float64(n)/24)
			if j == 3 {
				break
			}
			below += float64(n) / 24
			want := math.Log(below / (1 - below))
			se := math.Sqrt(1 / (24 * below * (1 - below)))
			if link == Probit {
				want = dist.NormalQuantile(below)
				se = math.Sqrt(below*(1-below)/24) / dist.NormalDensity(want)
			}
			if c := f.Coefficients[j]; !statstest.Near(c.Estimate, want, 1e-8) || !statstest.Near(c.SE, se, 1e-7) {
				t.Errorf("link %d, threshold %s: %v ± %v, want %v ± %v", link, c.Name, c.Estimate, c.SE, want, se)
			}
		}
		if !statstest.Near(f.LogLik, logLik, 1e-12) {
			t.Errorf("log-likelihood %v, want %v", f.LogLik, logLik)
		}
	}
}

// Two categories and two samples: the effect is the log odds ratio of the 2 × 2
// table, with Woolf's standard error (Woolf 1955, Ann. Hum. Genet. 19, 251).
func TestOrdinalTwoCategoriesIsTheOddsRatio(t *testing.T) {
	table := [2][2]int{{14, 6}, {7, 13}}
	m := Model{Levels: []string{"no", "yes"}, Fixed: []model.Term{{"sample"}},
		Data: model.Data{Factors: []model.Factor{{Name: "sample", Levels: []string{"a", "b"}}}}}
	woolf := 0.0
	for s, row := range table {
		for y, n := range row {
			woolf += 1 / float64(n)
			for range n {
				m.Data.Response = append(m.Data.Response, float64(y))
				m.Data.Factors[0].Code = append(m.Data.Factors[0].Code, s)
			}
		}
	}
	f, err := Fit(m)
	if err != nil {
		t.Fatal(err)
	}
	if c := f.Coefficients[1]; !statstest.Near(c.Estimate, math.Log(14.0*13/(6*7)), 1e-9) ||
		!statstest.Near(c.SE, math.Sqrt(woolf), 1e-8) {
		t.Errorf("effect %v ± %v, want %v ± %v", c.Estimate, c.SE, math.Log(14.0*13/(6*7)), math.Sqrt(woolf))
	}
}

func TestOrdinalGradientAgreesWithDifferences(t *testing.T) {
	for _, link := range []Link{Logit, Probit} {
		for _, points := range []int{1, 3, 10} {
			m := drawOrdinal(statstest.NewTestRand(3), 25, 3, 5, 1, 0.5)
			m.Link, m.Points = link, points
			d, err := newOrdinalDesign(m, m.Data)
			if err != nil {
				t.Fatal(err)
			}
			r, err := newOrdinalMixed(m, d, m.Data)
			if err != nil {
				t.Fatal(err)
			}
			psi := append(slices.Clone(d.fitFixed().point.psi), 0.8)
			grad := make([]float64, len(psi))
			r.evaluate(psi, grad)
			for i := range psi {
				const h = 1e-5
				up, down := slices.Clone(psi), slices.Clone(psi)
				up[i] += h
				down[i] -= h
				a, _ := r.evaluate(up, make([]float64, len(psi)))
				b, _ := r.evaluate(down, make([]float64, len(psi)))
				if diff := (a - b) / (2 * h); math.Abs(diff-grad[i]) > 1e-5*(1+math.Abs(diff)) {
					t.Errorf("link %d, %d points, parameter %d: gradient %v, differences %v", link, points, i, grad[i],
						diff)
				}
			}
		}
	}
}

// The quadrature must converge to the integral, here by the trapezoidal rule
// on a fine grid (geometric convergence for analytic integrands).
func TestOrdinalQuadratureConverges(t *testing.T) {
	m := drawOrdinal(statstest.NewTestRand(4), 12, 4, 5, 1.5, 0.4)
	d, err := newOrdinalDesign(m, m.Data)
	if err != nil {
		t.Fatal(err)
	}
	psi := append(slices.Clone(d.fitFixed().point.psi), 1.3)
	want := 0.0
	for a := range 12 {
		sum := 0.0
		for i := -100; i <= 100; i++ {
			b := float64(i) * 0.09
			h := -b * b / 2
			for s := range 4 {
				row := a*4 + s
				upper, lower := categoryEnds(psi, d.category[row], d.categories)
				shift := numeric.Dot(d.x.Row(d.kind[row]), psi[d.categories-1:len(psi)-1]) + 1.3*b
				c, _ := d.link.simpleCell(upper-shift, lower-shift)
				h += c.logP
			}
			sum += math.Exp(h) * 0.09 / math.Sqrt(2*math.Pi)
		}
		want -= math.Log(sum)
	}
	previous := math.Inf(1)
	for _, points := range []int{1, 5, 15, 40} {
		m.Points = points
		r, err := newOrdinalMixed(m, d, m.Data)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := r.evaluate(psi, make([]float64, len(psi)))
		off := math.Abs(got - want)
		if off > previous && off > 1e-9 {
			t.Errorf("%d points: error %v after %v", points, off, previous)
		}
		previous = off
	}
	if previous > 1e-8 {
		t.Errorf("40 points: error %v", previous)
	}
}

func TestOrdinalProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawOrdinal(statstest.NewTestRand(rapid.Uint64().Draw(t, "seed")), 30, 3,
			rapid.IntRange(3, 7).Draw(t, "categories"), rapid.Float64Range(0, 2).Draw(t, "sd"), 0.5)
		m.Points = rapid.SampledFrom([]int{0, 5}).Draw(t, "points")
		if rapid.Bool().Draw(t, "fixed only") {
			m.Group = nil
		}
		f, err := Fit(m)
		if err != nil {
			t.Fatal(err)
		}
		if !f.Converged {
			t.Fatalf("not converged: %+v", f)
		}
		// Reading the scale from the other end changes signs only.
		turned := m
		turned.Data.Response = nil
		for _, y := range m.Data.Response {
			turned.Data.Response = append(turned.Data.Response, float64(len(m.Levels)-1)-y)
		}
		g, _ := Fit(turned)
		last := len(f.Coefficients) - 1
		if !statstest.Near(f.LogLik, g.LogLik, 1e-7) ||
			!statstest.Near(f.Coefficients[last].Estimate, -g.Coefficients[last].Estimate, 1e-4) {
			t.Fatalf("turned: %v %v, %v %v", f.LogLik, g.LogLik, f.Coefficients[last], g.Coefficients[last])
		}
	})
}

func TestOrdinalEdges(t *testing.T) {
	rng := statstest.NewTestRand(6)
	t.Run("separated", func(t *testing.T) {
		m := drawOrdinal(rng, 20, 2, 4, 0, 0)
		m.Group = nil
		for i := range m.Data.Response {
			m.Data.Response[i] = float64(2*m.Data.Factors[1].Code[i]) + float64(i/2%2)
		}
		f, err := Fit(m)
		if err != nil {
			t.Fatal(err)
		}
		if last := f.Coefficients[len(f.Coefficients)-1]; !statstest.HasWarning(f.Warnings, WarnSeparated) ||
			!math.IsNaN(last.Estimate) {
			t.Errorf("warnings %v, effect %+v", f.Warnings, last)
		}
	})
	t.Run("unused category", func(t *testing.T) {
		m := drawOrdinal(rng, 40, 2, 4, 0, 0.3)
		m.Levels = []string{"1", "2", "3", "4", "5"}
		for i, y := range m.Data.Response {
			if y == 2 {
				m.Data.Response[i] = 4
			}
		}
		f, err := Fit(m)
		if err != nil {
			t.Fatal(err)
		}
		if !statstest.HasWarning(f.Warnings, WarnUnusedLevel) ||
			!slices.ContainsFunc(f.Coefficients, func(c Coefficient) bool { return c.Name == "2|4" }) {
			t.Errorf("warnings %v, coefficients %+v", f.Warnings, f.Coefficients)
		}
	})
	t.Run("no variance between assessors", func(t *testing.T) {
		m := drawOrdinal(rng, 60, 4, 4, 0, 0)
		for i := range m.Data.Response { // everybody uses the whole scale once
			m.Data.Response[i] = float64((i + i/4) % 4)
		}
		f, err := Fit(m)
		if err != nil {
			t.Fatal(err)
		}
		if !f.Singular || f.RandomVariance != 0 || !statstest.HasWarning(f.Warnings, stats.WarnSingular) {
			t.Errorf("sd %v, warnings %v", f.RandomSD, f.Warnings)
		}
	})
	good := drawOrdinal(rng, 10, 3, 4, 1, 0)
	for name, change := range map[string]func(*Model){
		"half a category":   func(m *Model) { m.Data.Response[0] = 0.5 },
		"category too high": func(m *Model) { m.Data.Response[0] = 9 },
		"one category":      func(m *Model) { clear(m.Data.Response) },
		"unknown term":      func(m *Model) { m.Fixed = []model.Term{{"dish"}} },
		"too many points":   func(m *Model) { m.Points = 101 },
		"bad level":         func(m *Model) { m.Level = 2 },
		"infinite":          func(m *Model) { m.Data.Response[0] = math.Inf(1) },
	} {
		m := good
		m.Data.Response = slices.Clone(good.Data.Response)
		change(&m)
		if _, err := Fit(m); err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

func BenchmarkOrdinal(b *testing.B) {
	for _, n := range []int{24, 300, 2000} {
		m := drawOrdinal(statstest.NewTestRand(1), n, 4, 7, 1, 0.4)
		for _, points := range []int{1, 10} {
			m.Points = points
			b.Run(fmt.Sprintf("points=%d/k=4/n=%d", points, n), func(b *testing.B) {
				for b.Loop() {
					if _, err := Fit(m); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
