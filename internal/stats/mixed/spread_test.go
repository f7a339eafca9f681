package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// What is found by blocks is what the inverse of V as a whole gives, whichever terms run
// across the blocks, none or all but one.
func TestSpreadIsInvertedByBlocks(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for name, levels := range map[string][]int{"people on evenings": {12, 3}, "nested": {12}, "crossed": {5, 6, 7},
		"residuals alone": {}} {
		const n = 60
		s, v := newSpread(n, 2), mat.NewSymDense(n, nil)
		for i := range n {
			v.SetSym(i, i, 2)
		}
		columns := []*mat.Dense{}
		for k, count := range levels {
			term := spreadTerm{levels: count, variance: random.Float64() + float64(k)}
			z := mat.NewDense(n, count, nil)
			for i := range n {
				term.code = append(term.code, random.IntN(count))
				z.Set(i, term.code[i], 1)
			}
			for i := range n {
				for j := i; j < n; j++ {
					if term.code[i] == term.code[j] {
						v.SetSym(i, j, v.At(i, j)+term.variance)
					}
				}
			}
			s.terms, columns = append(s.terms, term), append(columns, z)
		}
		own := mat.NewDense(n, n, nil)
		for i := range n {
			own.Set(i, i, 1)
		}
		columns = append(columns, own)
		var inverse mat.Dense
		if err := inverse.Inverse(v); err != nil || !s.invert() {
			t.Fatalf("%s: singular: %v", name, err)
		}
		for i, zi := range columns {
			for j, zj := range columns {
				var half, want mat.Dense // ZⱼᵗV⁻¹Zᵢ
				half.Mul(zj.T(), &inverse)
				want.Mul(&half, zi)
				_, count := zi.Dims()
				unit := mat.NewDense(count, count, nil)
				for k := range count {
					unit.Set(k, k, 1)
				}
				if got := s.times(unit, i, j); !mat.EqualApprox(got, &want, 1e-12) {
					t.Errorf("%s: terms %d and %d differ from the inverse as a whole", name, i, j)
				}
				norm := mat.Norm(&want, 2)
				if got := s.squares(i, j); math.Abs(got/norm/norm-1) > 1e-11 {
					t.Errorf("%s: squares of terms %d and %d: %v, want %v", name, i, j, got, norm*norm)
				}
			}
		}
	}
}
