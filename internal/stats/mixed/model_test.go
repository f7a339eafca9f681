package mixed

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats"
	"cloche/internal/stats/anova"
	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/statstest"
)

// panel describes a simulated panel.
type panel struct {
	assessors, samples, sittings, repeats int
	assessorSD, interactionSD, sittingSD  float64
	effect, missing                       float64 // step between samples, share of ratings lost
}

// draw simulates the panel's ratings with residuals of unit variance; the
// covariate is a further measurement of each rating.
func (p panel) draw(rng *rand.Rand) model.Data {
	d := model.Data{Factors: []model.Factor{{Name: "assessor", Levels: statstest.Numbered("a", p.assessors)},
		{Name: "sample", Levels: statstest.Numbered("s", p.samples)}, {Name: "sitting",
			Levels: statstest.Numbered("t", max(1, p.sittings))}}, Covariates: []model.Covariate{{Name: "hunger"}}}
	sitting := make([]float64, max(1, p.sittings))
	for i := range sitting {
		sitting[i] = p.sittingSD * rng.NormFloat64()
	}
	for a := range p.assessors {
		level := p.assessorSD * rng.NormFloat64()
		for s := range p.samples {
			own := p.interactionSD * rng.NormFloat64()
			for range max(1, p.repeats) {
				t := rng.IntN(len(sitting))
				y := 5 + level + own + sitting[t] + p.effect*float64(s) + rng.NormFloat64()
				hunger := rng.NormFloat64()
				if rng.Float64() < p.missing {
					continue
				}
				d.Response = append(d.Response, y)
				d.Covariates[0].Values = append(d.Covariates[0].Values, hunger)
				for i, code := range []int{a, s, t} {
					d.Factors[i].Code = append(d.Factors[i].Code, code)
				}
			}
		}
	}
	return d
}

// mixedCases are models of every kind: nested, crossed, with slopes.
func mixedCases() map[string]Model {
	rng := statstest.NewTestRand(11)
	small := panel{assessors: 9, samples: 3, sittings: 4, repeats: 3, assessorSD: 1, interactionSD: 0.7, sittingSD: 0.5,
		missing: 0.1}.draw(rng)
	sample, assessor, sitting := model.Term{"sample"}, model.Term{"assessor"}, model.Term{"sitting"}
	both := model.Term{"assessor", "sample"}
	return map[string]Model{
		"intercept": {Data: small, Fixed: []model.Term{sample}, Random: []RandomTerm{{Group: assessor}}},
		"interaction": {Data: small, Fixed: []model.Term{sample},
			Random: []RandomTerm{{Group: assessor}, {Group: both}}},
		"covariate slope": {Data: small, Fixed: []model.Term{sample, {"hunger"}},
			Random: []RandomTerm{{Group: assessor, Slopes: model.Term{"hunger"}}}},
		"sample slopes": {Data: small, Fixed: []model.Term{sample},
			Random: []RandomTerm{{Group: assessor, Slopes: sample}}},
		"crossed sitting": {Data: small, Fixed: []model.Term{sample},
			Random: []RandomTerm{{Group: assessor}, {Group: sitting}}},
		"crossed with slope": {Data: small, Fixed: []model.Term{{"hunger"}},
			Random: []RandomTerm{{Group: assessor, Slopes: model.Term{"hunger"}},
				{Group: sitting, Slopes: model.Term{"hunger"}}, {Group: both}}},
		"all small and shared": {Data: small, Fixed: []model.Term{{"hunger"}},
			Random: []RandomTerm{{Group: sitting}, {Group: sample}}},
	}
}

// denseCriterion is −2 log-likelihood from the full covariance matrix, the
// long way round.
func denseCriterion(t *testing.T, f *Result, theta []float64) float64 {
	t.Helper()
	d := f.design
	n := d.n
	v := mat.NewSymDense(n, nil)
	for i := range n {
		v.SetSym(i, i, 1)
	}
	for k, r := range d.terms {
		l := r.factor(theta)
		g := numeric.NewMatrix(r.size, r.size)
		g.AddProductTransposed(1, l, l)
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		columns := model.DesignColumns(f.data, f.model.Random[k].terms(), !f.model.Random[k].NoIntercept, all)
		for i := range n {
			for j := i; j < n; j++ {
				if r.code[i] == r.code[j] {
					for a := range r.size {
						for b := range r.size {
							v.SetSym(i, j, v.At(i, j)+columns[a].Values[i]*g.At(a, b)*columns[b].Values[j])
						}
					}
				}
			}
		}
	}
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	fixed := model.DesignColumns(f.data, f.model.Fixed, true, all)
	x := mat.NewDense(n, len(fixed), nil)
	for c, column := range fixed {
		x.SetCol(c, column.Values)
	}
	var chol mat.Cholesky
	if !chol.Factorize(v) {
		t.Fatal("covariance not positive definite")
	}
	y := mat.NewVecDense(n, f.data.Response)
	var vx mat.Dense
	var vy, xvy, beta, rest mat.VecDense
	var xvx mat.Dense
	if err := errors.Join(chol.SolveTo(&vx, x), chol.SolveVecTo(&vy, y)); err != nil {
		t.Fatal(err)
	}
	xvx.Mul(x.T(), &vx)
	xvy.MulVec(x.T(), &vy)
	if err := beta.SolveVec(&xvx, &xvy); err != nil {
		t.Fatal(err)
	}
	rest.MulVec(x, &beta)
	rest.SubVec(y, &rest)
	r2 := mat.Dot(&vy, &rest)
	value := chol.LogDet()
	nu := float64(n)
	if !f.ML {
		logDet, _ := mat.LogDet(&xvx)
		value += logDet
		nu -= float64(len(fixed))
	}
	return value + nu*(1+math.Log(2*math.Pi*r2/nu))
}

func TestMixedLikelihoodAgreesWithDenseMatrices(t *testing.T) {
	for name, m := range mixedCases() {
		for _, ml := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s/ml=%v", name, ml), func(t *testing.T) {
				m.ML = ml
				f, err := Fit(m)
				if err != nil {
					t.Fatal(err)
				}
				want := denseCriterion(t, f, f.point.theta)
				if got := -2 * f.LogLik; !statstest.Near(got, want, 1e-10) {
					t.Errorf("deviance %v, from full matrices %v", got, want)
				}
				// No other point of a coarse neighbourhood is better.
				for i := range f.point.theta {
					for _, step := range []float64{-0.05, 0.05} {
						theta := append([]float64(nil), f.point.theta...)
						theta[i] += step
						if other := denseCriterion(t, f, theta); other < want-1e-7 {
							t.Errorf("parameter %d: %v is better than the fit by %v", i, theta, want-other)
						}
					}
				}
			})
		}
	}
}

func TestMixedDerivativesAgreeWithDifferences(t *testing.T) {
	for name, m := range mixedCases() {
		for _, ml := range []bool{false, true} {
			m.ML = ml
			f, err := Fit(m)
			if err != nil {
				t.Fatal(err)
			}
			d := f.design
			theta := make([]float64, len(d.params))
			for i, p := range d.params {
				theta[i] = 0.2 + 0.1*float64(i)
				if p.row == p.col {
					theta[i] += 0.5
				}
			}
			c, ok := d.evaluate(theta, true)
			if !ok {
				t.Fatalf("%s: no value", name)
			}
			const h = 1e-5
			for i := range theta {
				up, down := append([]float64(nil), theta...), append([]float64(nil), theta...)
				up[i] += h
				down[i] -= h
				a, _ := d.evaluate(up, true)
				b, _ := d.evaluate(down, true)
				if diff := (a.value - b.value) / (2 * h); math.Abs(diff-c.grad[i]) > 1e-5*(1+math.Abs(diff)) {
					t.Errorf("%s ml=%v: gradient %d is %v, differences %v", name, ml, i, c.grad[i], diff)
				}
				for j := range theta {
					if diff := (a.grad[j] - b.grad[j]) / (2 * h); math.Abs(diff-c.hess.At(i,
						j)) > 1e-5*(1+math.Abs(diff)) {
						t.Errorf("%s ml=%v: hessian %d,%d is %v, differences %v", name, ml, i, j, c.hess.At(i, j), diff)
					}
				}
			}
		}
	}
}

// On balanced data with a positive variance between assessors the mixed model
// is the analysis of variance: same F, whole degrees of freedom (Pinheiro &
// Bates 2000, section 1.2; trade practice).
func TestMixedOfBalancedPanelIsAnova(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := statstest.NewTestRand(rapid.Uint64().Draw(t, "seed"))
		p := panel{assessors: rapid.IntRange(4, 30).Draw(t, "assessors"),
			samples: rapid.IntRange(2, 6).Draw(t, "samples"), assessorSD: 2, effect: 0.3}
		d := p.draw(rng)
		f, err := Fit(Model{Data: d, Fixed: []model.Term{{"sample"}},
			Random: []RandomTerm{{Group: model.Term{"assessor"}}}})
		if err != nil {
			t.Fatal(err)
		}
		rows := make([][]float64, p.assessors)
		for i := range rows {
			rows[i] = d.Response[i*p.samples : (i+1)*p.samples]
		}
		a, _ := anova.Repeated(rows, anova.RepeatedOptions{})
		if a.FAssessor <= 1.01 {
			return
		}
		test := f.Anova()[0]
		if !statstest.Near(test.F, a.F, 1e-6) || !statstest.Near(test.DF2, a.DF2, 1e-5) ||
			!statstest.Near(f.Sigma2, a.MSError, 1e-6) {
			t.Fatalf("F %v on %v, σ² %v; anova %v on %v, %v", test.F, test.DF2, f.Sigma2, a.F, a.DF2, a.MSError)
		}
		// Between-assessor variance: (MS assessor − MS error)/k.
		if want := (a.FAssessor - 1) * a.MSError / float64(p.samples); !statstest.Near(f.Variances[0].Variance, want,
			1e-5) {
			t.Fatalf("variance between assessors %v, want %v", f.Variances[0].Variance, want)
		}
	})
}

func TestMixedInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := statstest.NewTestRand(rapid.Uint64().Draw(t, "seed"))
		p := panel{assessors: 12, samples: 3, sittings: 3, repeats: 2,
			assessorSD: rapid.Float64Range(0, 3).Draw(t,
				"assessor SD"), sittingSD: 0.5, effect: 0.4, missing: rapid.Float64Range(0, 0.3).Draw(t, "missing")}
		m := Model{Data: p.draw(rng), Fixed: []model.Term{{"sample"}},
			Random: []RandomTerm{{Group: model.Term{"assessor"}}, {Group: model.Term{"sitting"}}}}
		f, err := Fit(m)
		if err != nil {
			t.Fatal(err)
		}
		moved := m
		moved.Data.Response = nil
		for _, y := range m.Data.Response {
			moved.Data.Response = append(moved.Data.Response, 1000+4*y)
		}
		g, _ := Fit(moved)
		if !statstest.Near(f.Fixed[1].T, g.Fixed[1].T, 1e-5) || !statstest.Near(f.Fixed[1].DF, g.Fixed[1].DF, 1e-3) ||
			!statstest.Near(16*f.Sigma2, g.Sigma2, 1e-5) {
			t.Fatalf("shift and scale: %+v, %+v", f.Fixed[1], g.Fixed[1])
		}
		order := rng.Perm(len(m.Data.Response))
		shuffled := Model{Fixed: m.Fixed, Random: m.Random,
			Data: model.Data{Covariates: []model.Covariate{{Name: "hunger"}}}}
		for _, factor := range m.Data.Factors {
			c := model.Factor{Name: factor.Name, Levels: factor.Levels}
			for _, i := range order {
				c.Code = append(c.Code, factor.Code[i])
			}
			shuffled.Data.Factors = append(shuffled.Data.Factors, c)
		}
		for _, i := range order {
			shuffled.Data.Response = append(shuffled.Data.Response, m.Data.Response[i])
			shuffled.Data.Covariates[0].Values = append(shuffled.Data.Covariates[0].Values,
				m.Data.Covariates[0].Values[i])
		}
		h, _ := Fit(shuffled)
		if !statstest.Near(f.LogLik, h.LogLik, 1e-9) {
			t.Fatalf("order of the ratings: %v, %v", f.LogLik, h.LogLik)
		}
	})
}

func TestMixedEdges(t *testing.T) {
	rng := statstest.NewTestRand(5)
	base := panel{assessors: 6, samples: 3, assessorSD: 1}.draw(rng)
	random := []RandomTerm{{Group: model.Term{"assessor"}}}
	with := func(change func(*model.Data)) Model {
		d := base.Subset(slicesOfTrue(len(base.Response)))
		change(&d)
		return Model{Data: d, Fixed: []model.Term{{"sample"}}, Random: random}
	}
	t.Run("constant ratings", func(t *testing.T) {
		f, err := Fit(with(func(d *model.Data) {
			for i := range d.Response {
				d.Response[i] = 4
			}
		}))
		if err != nil || !statstest.HasWarning(f.Warnings, stats.WarnNoErrorSpread) || !math.IsNaN(f.Fixed[0].P) ||
			f.Fixed[0].Estimate != 4 {
			t.Errorf("%v, %+v", err, f.Warnings)
		}
		if a := f.Anova(); !math.IsNaN(a[0].P) {
			t.Errorf("anova %+v", a)
		}
	})
	t.Run("assessors explain everything", func(t *testing.T) {
		f, err := Fit(with(func(d *model.Data) {
			for i := range d.Response {
				d.Response[i] = float64(3 * d.Factors[0].Code[i])
			}
		}))
		if err != nil || !statstest.HasWarning(f.Warnings, stats.WarnNoErrorSpread) {
			t.Errorf("%v, %+v", err, f.Warnings)
		}
	})
	t.Run("no variance between assessors", func(t *testing.T) {
		f, err := Fit(with(func(d *model.Data) {
			for i := range d.Response {
				d.Response[i] = float64(i % 3 * (1 + i/3%2) % 3) // each assessor gives 0, 1 and 2
			}
		}))
		if err != nil || !f.Singular || !statstest.HasWarning(f.Warnings, stats.WarnSingular) ||
			f.Variances[0].Variance != 0 {
			t.Errorf("%v, %+v", err, f.Warnings)
		}
	})
	t.Run("a sample nobody rated", func(t *testing.T) {
		f, err := Fit(with(func(d *model.Data) {
			d.Factors[1].Levels = append(statstest.Numbered("s", 3), "unserved")
		}))
		if err != nil || !statstest.HasWarning(f.Warnings, stats.WarnAliased) || !math.IsNaN(f.Fixed[3].Estimate) {
			t.Fatalf("%v, %+v", err, f.Warnings)
		}
		means, err := f.Means("sample")
		if err != nil || !math.IsNaN(means[3].Mean) || math.IsNaN(means[2].Mean) {
			t.Errorf("means %+v, %v", means, err)
		}
	})
	t.Run("refused", func(t *testing.T) {
		for name, m := range map[string]Model{
			"unknown name":       {Data: base, Fixed: []model.Term{{"dish"}}, Random: random},
			"no random term":     {Data: base, Fixed: []model.Term{{"sample"}}},
			"one level for each": {Data: base, Random: []RandomTerm{{Group: model.Term{"assessor", "sample"}}}},
			"no data":            {Random: random},
			"infinite":           with(func(d *model.Data) { d.Response[0] = math.Inf(1) }),
			"bad code":           with(func(d *model.Data) { d.Factors[0].Code[0] = 99 }),
			"one assessor":       with(func(d *model.Data) { clear(d.Factors[0].Code) }),
		} {
			if f, err := Fit(m); err == nil {
				t.Errorf("%s was accepted: %+v", name, f)
			}
		}
	})
}

// Terms that overlap may have more columns than there are ratings, as long as
// their span leaves room for residuals.
func TestMixedOverlappingTerms(t *testing.T) {
	rng := statstest.NewTestRand(23)
	build := func(samples, names int) Model {
		d := model.Data{Factors: []model.Factor{{Name: "assessor", Levels: statstest.Numbered("a", 5)},
			{Name: "sample", Levels: statstest.Numbered("s", samples)}, {Name: "name",
				Levels: statstest.Numbered("n", names)}}}
		for i := range 5 * samples * names {
			d.Response = append(d.Response, rng.NormFloat64()+float64(i%5))
			for k, code := range []int{i % 5, i / 5 % samples, i / 5 / samples} {
				d.Factors[k].Code = append(d.Factors[k].Code, code)
			}
		}
		return Model{Data: d, Fixed: []model.Term{{"sample"}},
			Random: []RandomTerm{{Group: model.Term{"assessor"}}, {Group: model.Term{"assessor", "sample"}},
				{Group: model.Term{"assessor", "name"}}}}
	}
	if _, err := Fit(build(3, 2)); err != nil { // 5 + 15 + 10 columns, 20 dimensions, 30 ratings
		t.Errorf("20 dimensions for 30 ratings: %v", err)
	}
	full := build(3, 2)
	full.Random[2] = RandomTerm{Group: model.Term{"sample", "name"}}
	if _, err := Fit(full); err != nil {
		t.Errorf("crossed terms: %v", err)
	}
	two := build(2, 2)
	two.Random = append(two.Random, RandomTerm{Group: model.Term{"assessor"}, Slopes: model.Term{"sample", "name"}})
	if _, err := Fit(two); err != nil { // 15 dimensions for 20 ratings
		t.Errorf("15 dimensions for 20 ratings: %v", err)
	}
	one := build(2, 1)
	one.Random = []RandomTerm{{Group: model.Term{"assessor"}},
		{Group: model.Term{"assessor"}, Slopes: model.Term{"sample"}}}
	if _, err := Fit(one); !errors.Is(err, model.ErrGrouping) {
		t.Errorf("10 dimensions for 10 ratings: %v", err)
	}
}

// A covariate with two values is a factor in all but name: means are the same.
func TestMixedMeansWithTwoValuedCovariate(t *testing.T) {
	rng := statstest.NewTestRand(24)
	d := panel{assessors: 10, samples: 3, assessorSD: 1}.draw(rng)
	hungry := model.Factor{Name: "hungry", Levels: []string{"no", "yes"}}
	for i := range d.Response {
		code := rng.IntN(5) / 4 // one in five
		hungry.Code = append(hungry.Code, code)
		d.Covariates[0].Values[i] = float64(code)
	}
	d.Factors = append(d.Factors, hungry)
	random := []RandomTerm{{Group: model.Term{"assessor"}}}
	asCovariate := statstest.Must(Fit(Model{Data: d, Fixed: []model.Term{{"sample"}, {"hunger"}}, Random: random}))
	asFactor := statstest.Must(Fit(Model{Data: d, Fixed: []model.Term{{"sample"}, {"hungry"}}, Random: random}))
	a, b := statstest.Must(asCovariate.Means("sample")), statstest.Must(asFactor.Means("sample"))
	for i := range a {
		if !statstest.Near(a[i].Mean, b[i].Mean, 1e-9) || !statstest.Near(a[i].DF, b[i].DF, 1e-6) {
			t.Errorf("level %s: %+v, %+v", a[i].Level, a[i], b[i])
		}
	}
}

// Two dishes under three names, the last dish never served under the last
// name: the dishes are then compared over the two names they share (worked out
// by hand from the cell means), and the interaction keeps one degree of
// freedom.
func TestMixedAnovaWithAnEmptyCell(t *testing.T) {
	rng := statstest.NewTestRand(21)
	d := model.Data{Factors: []model.Factor{{Name: "assessor", Levels: statstest.Numbered("a", 12)},
		{Name: "dish", Levels: statstest.Numbered("d", 2)}, {Name: "name", Levels: statstest.Numbered("n", 3)}}}
	for a := range 12 {
		level := rng.NormFloat64()
		for cell := range 5 {
			d.Response = append(d.Response, level+rng.NormFloat64()+float64(cell))
			for i, code := range []int{a, cell / 3, cell % 3} {
				d.Factors[i].Code = append(d.Factors[i].Code, code)
			}
		}
	}
	f, err := Fit(Model{Data: d, Fixed: []model.Term{{"dish"}, {"name"}, {"dish", "name"}},
		Random: []RandomTerm{{Group: model.Term{"assessor"}}}})
	if err != nil {
		t.Fatal(err)
	}
	weights := make([]float64, len(f.Fixed))
	for c, coefficient := range f.Fixed {
		weights[c] = map[string]float64{"dishd2": 1, "dishd2:namen2": 0.5}[coefficient.Name]
	}
	l, estimable := f.inBasis(weights)
	if !estimable {
		t.Fatal("the comparison over the shared names is estimable")
	}
	want := f.test(l)
	tests := f.Anova()
	if !statstest.Near(tests[0].F, want.t*want.t, 1e-9) || tests[0].DF1 != 1 || tests[2].DF1 != 1 ||
		!statstest.HasWarning(f.Warnings, stats.WarnAliased) {
		t.Errorf("tests %+v, want F %v for the dish", tests, want.t*want.t)
	}
}

// In a layout without gaps the hypotheses are those of effects that sum to
// zero: here against the analysis of variance of two factors within assessors.
func TestMixedAnovaOfTwoFactors(t *testing.T) {
	rng := statstest.NewTestRand(22)
	cells := make([][][]float64, 14)
	d := model.Data{Factors: []model.Factor{{Name: "assessor", Levels: statstest.Numbered("a", 14)},
		{Name: "dish", Levels: statstest.Numbered("d", 3)}, {Name: "name", Levels: statstest.Numbered("n", 2)}}}
	for a := range cells {
		level := 2 * rng.NormFloat64()
		for i := range 3 {
			row := []float64{level + rng.NormFloat64(), level + rng.NormFloat64() + 0.3*float64(i)}
			cells[a] = append(cells[a], row)
			for j, y := range row {
				d.Response = append(d.Response, y)
				for k, code := range []int{a, i, j} {
					d.Factors[k].Code = append(d.Factors[k].Code, code)
				}
			}
		}
	}
	f, err := Fit(Model{Data: d, Fixed: []model.Term{{"dish"}, {"name"}, {"dish", "name"}},
		Random: []RandomTerm{{Group: model.Term{"assessor"}}}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := anova.RepeatedTwoWay(cells)
	if err != nil {
		t.Fatal(err)
	}
	// With one variance between assessors the error of all effects is pooled.
	pooled := (r.A.SSError + r.B.SSError + r.AB.SSError) / (r.A.DF2 + r.B.DF2 + r.AB.DF2)
	for i, e := range []anova.RepeatedEffect{r.A, r.B, r.AB} {
		if got, want := f.Anova()[i], e.SS/e.DF1/pooled; !statstest.Near(got.F, want, 1e-6) || got.DF1 != e.DF1 ||
			!statstest.Near(got.DF2, 5*13, 1e-4) {
			t.Errorf("effect %d: %+v, want F %v", i, got, want)
		}
	}
}

func slicesOfTrue(n int) []bool {
	keep := make([]bool, n)
	for i := range keep {
		keep[i] = true
	}
	return keep
}

func BenchmarkMixed(b *testing.B) {
	for _, n := range []int{200, 2000, 20000} {
		d := panel{assessors: n, samples: 6, assessorSD: 1, effect: 0.1}.draw(statstest.NewTestRand(1))
		b.Run(fmt.Sprintf("intercept/satterthwaite/k=6/n=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f, err := Fit(Model{Data: d, Fixed: []model.Term{{"sample"}},
					Random: []RandomTerm{{Group: model.Term{"assessor"}}}})
				if err != nil {
					b.Fatal(err)
				}
				f.Anova()
			}
		})
	}
	for _, n := range []int{200, 2000} {
		d := panel{assessors: n, samples: 6, sittings: 12, assessorSD: 1, sittingSD: 0.5, missing: 0.1,
			effect: 0.1}.draw(statstest.NewTestRand(1))
		for name, m := range map[string]Model{
			"covariate": {Data: d, Fixed: []model.Term{{"sample"}, {"hunger"}},
				Random: []RandomTerm{{Group: model.Term{"assessor"}}}},
			"covariate slope": {Data: d, Fixed: []model.Term{{"sample"}, {"hunger"}},
				Random: []RandomTerm{{Group: model.Term{"assessor"}, Slopes: model.Term{"hunger"}}}},
			"crossed sitting": {Data: d, Fixed: []model.Term{{"sample"}},
				Random: []RandomTerm{{Group: model.Term{"assessor"}}, {Group: model.Term{"sitting"}}}},
		} {
			b.Run(fmt.Sprintf("%s/k=6/n=%d", name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := Fit(m); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
