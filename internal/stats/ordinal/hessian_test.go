package ordinal

import (
	"math"
	"slices"
	"testing"

	"cloche/internal/stats/numeric"
	"cloche/internal/stats/statstest"
)

// The Hessian agrees with differences of the gradient, to the error of the rule and of the
// differences, and gives way to them where there are few nodes or people differ much.
func TestOrdinalHessianAgreesWithDifferences(t *testing.T) {
	worst := 0.0
	for _, sigma := range []float64{0.05, 0.5, mostStill} {
		for _, samples := range []int{2, 4, 8} {
			for _, categories := range []int{3, 5, 7} {
				m := drawOrdinal(statstest.NewTestRand(3), 60, samples, categories, sigma, 0.5)
				m.Points = fewestNodes
				d, err := newOrdinalDesign(m, m.Data)
				statstest.Fatal(t, err)
				r, err := newOrdinalMixed(m, d, m.Data)
				statstest.Fatal(t, err)
				psi := append(slices.Clone(d.fitFixed().point.psi), sigma)
				want, grad := numeric.DifferenceHessian(psi, r.evaluate)
				got, slope, ok := r.hessian(psi)
				if !ok {
					t.Fatal("no Hessian")
				}
				for i := range psi {
					if math.Abs(slope[i]-grad[i]) > 1e-9*(1+math.Abs(grad[i])) {
						t.Errorf("slope %d: %g, want %g", i, slope[i], grad[i])
					}
					for j := range psi {
						scale := math.Sqrt(math.Abs(want.At(i, i) * want.At(j, j)))
						off := math.Abs(got.At(i, j)-want.At(i, j)) / scale
						if worst = max(worst, off); off > 6e-5 {
							t.Errorf("σ %g, %d samples, %d categories, %d, %d: off by %g", sigma, samples, categories,
								i, j, off)
						}
					}
				}
				psi[len(psi)-1] = mostStill + 0.01
				if _, _, ok := r.hessian(psi); ok {
					t.Error("people who differ much are said not to")
				}
				m.Points, psi[len(psi)-1] = fewestNodes-1, sigma
				few, err := newOrdinalMixed(m, d, m.Data)
				statstest.Fatal(t, err)
				if _, _, ok := few.hessian(psi); ok {
					t.Error("few nodes are said to be enough")
				}
			}
		}
	}
	t.Logf("off by %.2g at most", worst)
}
