package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats/model"
	"cloche/internal/stats/statstest"
)

// evenPanel are ten people who rate four samples at each of two evenings, and skip a share.
func evenPanel(random *rand.Rand, skipped float64) model.Data {
	var d model.Data
	code := map[string][]int{}
	for who := range 10 {
		for evening := range 2 {
			for at, sample := range random.Perm(4) {
				if random.Float64() < skipped {
					continue
				}
				d.Response = append(d.Response, random.NormFloat64())
				for name, v := range map[string]int{"who": who, "evening": evening, "at": at, "sample": sample} {
					code[name] = append(code[name], v)
				}
			}
		}
	}
	for name, levels := range map[string]int{"who": 10, "evening": 2, "at": 4, "sample": 4} {
		f := model.Factor{Name: name, Code: code[name]}
		for i := range levels {
			f.Levels = append(f.Levels, string(rune('a'+i)))
		}
		d.Factors = append(d.Factors, f)
	}
	return d
}

// dense is the criterion from the covariance of all ratings written out.
func dense(d model.Data, m *mixedDesign, ml bool, theta []float64) float64 {
	n := len(d.Response)
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sum := 0.0
			if i == j {
				sum = 1
			}
			for _, r := range m.terms {
				if r.code[i] == r.code[j] {
					sum += theta[r.theta] * theta[r.theta]
				}
			}
			v.SetSym(i, j, sum)
		}
	}
	x := mat.NewDense(n, 7, nil) // intercept, three samples, three positions
	for i := range n {
		x.Set(i, 0, 1)
		for k, name := range []string{"sample", "at"} {
			f, _ := d.Factor(name)
			if c := f.Code[i]; c > 0 {
				x.Set(i, 3*k+c, 1)
			}
		}
	}
	y := mat.NewVecDense(n, d.Response)
	var chol, gram, plain mat.Cholesky
	chol.Factorize(v)
	var solved, product, whole mat.Dense
	if err := chol.SolveTo(&solved, x); err != nil {
		return math.NaN()
	}
	product.Mul(x.T(), &solved)
	whole.Mul(x.T(), x)
	gram.Factorize(mat.NewSymDense(7, product.RawMatrix().Data))
	plain.Factorize(mat.NewSymDense(7, whole.RawMatrix().Data))
	var right, beta, fitted, residual, weighted mat.VecDense
	right.MulVec(solved.T(), y)
	if err := gram.SolveVecTo(&beta, &right); err != nil {
		return math.NaN()
	}
	fitted.MulVec(x, &beta)
	residual.SubVec(y, &fitted)
	if err := chol.SolveVecTo(&weighted, &residual); err != nil {
		return math.NaN()
	}
	r2 := mat.Dot(&residual, &weighted)
	if ml {
		return chol.LogDet() + float64(n)*math.Log(r2)
	}
	return chol.LogDet() + gram.LogDet() - plain.LogDet() + float64(n-7)*math.Log(r2)
}

// What is summed by strata, by blocks and by both, of panels in which everybody rated everything
// and in which somebody skipped some, is what the covariance of all ratings gives; and the
// derivatives are those of it.
func TestStrataGiveTheCriterion(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	who, own, evening := RandomTerm{Group: model.Term{"who"}}, RandomTerm{Group: model.Term{"who", "sample"}},
		RandomTerm{Group: model.Term{"who", "evening"}}
	for name, of := range map[string]struct {
		skipped        float64
		terms          []RandomTerm
		strata, blocks bool
	}{
		"nested":                {0, []RandomTerm{who, own}, true, false},
		"crossed":               {0, []RandomTerm{who, own, evening}, true, false},
		"nested, some skipped":  {0.06, []RandomTerm{who, own}, true, true},
		"crossed, some skipped": {0.06, []RandomTerm{who, own, evening}, true, true},
		"one, some skipped":     {0.1, []RandomTerm{who}, true, false},
	} {
		d := evenPanel(random, of.skipped)
		for _, ml := range []bool{false, true} {
			m := statstest.Must(newMixedDesign(Model{Data: d, Fixed: []model.Term{{"sample"}, {"at"}},
				Random: of.terms, ML: ml}, d))
			if len(m.strata) > 0 != of.strata || len(m.patterns) > 0 != of.blocks {
				t.Fatalf("%s: %d strata, %d patterns of blocks", name, len(m.strata), len(m.patterns))
			}
			for range 5 {
				theta := make([]float64, len(m.params))
				for i := range theta {
					theta[i] = 1.5 * random.Float64()
				}
				at, ok := m.evaluate(theta, true)
				if want := dense(d, m, ml, theta); !ok || math.Abs(at.value-want) > 1e-9*math.Abs(want) {
					t.Errorf("%s at %v: criterion %.14g, written out %.14g", name, theta, at.value, want)
				}
				for i := range theta {
					const step = 1e-5
					up, down := append([]float64(nil), theta...), append([]float64(nil), theta...)
					up[i], down[i] = theta[i]+step, theta[i]-step
					slope := (dense(d, m, ml, up) - dense(d, m, ml, down)) / (2 * step)
					if math.Abs(at.grad[i]-slope) > 1e-5*(1+math.Abs(slope)) {
						t.Errorf("%s at %v: slope %d is %.9g, by differences %.9g", name, theta, i, at.grad[i], slope)
					}
					above, _ := m.evaluate(up, true)
					below, _ := m.evaluate(down, true)
					for j := range theta {
						bend := (above.grad[j] - below.grad[j]) / (2 * step)
						if math.Abs(at.hess.At(i, j)-bend) > 1e-5*(1+math.Abs(bend)) {
							t.Errorf("%s at %v: curvature %d, %d is %.9g, by differences %.9g", name, theta, i, j,
								at.hess.At(i, j), bend)
						}
					}
				}
			}
		}
	}
}
