package stats

import (
	"cmp"
	"math"
	"slices"
)

// The adjustments return p-values adjusted for the number of tests, in the
// order of p, each at most 1. A NaN stands for a test that could not be done:
// it stays NaN and does not count as a test.

// Bonferroni multiplies each p-value by the number of tests m.
func Bonferroni(p []float64) []float64 {
	return adjust(p, func(s []float64) {
		for i := range s {
			s[i] *= float64(len(s))
		}
	})
}

// Holm is the step-down adjustment of Holm (1979, Scand. J. Stat. 6:65):
// the running maximum of (m−i+1)·p₍ᵢ₎. It controls the familywise error under
// any dependence.
func Holm(p []float64) []float64 {
	return adjust(p, func(s []float64) {
		highest := 0.0
		for i := range s {
			highest = max(highest, s[i]*float64(len(s)-i))
			s[i] = highest
		}
	})
}

// Hochberg is the step-up adjustment of Hochberg (1988, Biometrika 75:800):
// the running minimum from the largest down of (m−i+1)·p₍ᵢ₎. It needs
// independent or positively dependent tests.
func Hochberg(p []float64) []float64 {
	return adjust(p, func(s []float64) {
		stepUp(s, func(i int) float64 { return float64(len(s) - i) })
	})
}

// BenjaminiHochberg controls the false discovery rate (Benjamini & Hochberg
// 1995, J. R. Stat. Soc. B 57:289): the running minimum from the largest down
// of m/i·p₍ᵢ₎. It needs independent or positively dependent tests.
func BenjaminiHochberg(p []float64) []float64 {
	return adjust(p, func(s []float64) {
		stepUp(s, func(i int) float64 { return float64(len(s)) / float64(i+1) })
	})
}

// BenjaminiYekutieli controls the false discovery rate under any dependence
// (Benjamini & Yekutieli 2001, Ann. Stat. 29:1165): as [BenjaminiHochberg],
// times 1 + 1/2 + … + 1/m.
func BenjaminiYekutieli(p []float64) []float64 {
	return adjust(p, func(s []float64) {
		harmonic := 0.0
		for i := range s {
			harmonic += 1 / float64(i+1)
		}
		stepUp(s, func(i int) float64 { return harmonic * float64(len(s)) / float64(i+1) })
	})
}

// Hommel is the closed test on Simes' inequality (Hommel 1988, Biometrika
// 75:383) by the algorithm of Wright (1992, Biometrics 48:1005). Quadratic in
// the number of tests.
func Hommel(p []float64) []float64 {
	return adjust(p, func(s []float64) {
		m := len(s)
		sorted := slices.Clone(s)
		for j := m; j >= 2; j-- { // the intersection of j hypotheses
			simes := math.Inf(1)
			for i := 1; i <= j; i++ {
				simes = min(simes, float64(j)*sorted[m-j+i-1]/float64(i))
			}
			for i := range s {
				bound := simes
				if i < m-j {
					bound = min(simes, float64(j)*sorted[i])
				}
				s[i] = max(s[i], bound)
			}
		}
	})
}

// stepUp replaces rising p-values by the running minimum, from the largest
// down, of factor(i)·p₍ᵢ₎.
func stepUp(s []float64, factor func(i int) float64) {
	lowest := math.Inf(1)
	for i := len(s) - 1; i >= 0; i-- {
		lowest = min(lowest, factor(i)*s[i])
		s[i] = lowest
	}
}

// adjust sorts the p-values that are not NaN, lets step change them in place
// and puts them back, capped at 1.
func adjust(p []float64, step func(sorted []float64)) []float64 {
	out := slices.Clone(p)
	var order []int
	for i, v := range p {
		if !math.IsNaN(v) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	sorted := make([]float64, len(order))
	for rank, i := range order {
		sorted[rank] = p[i]
	}
	step(sorted)
	for rank, i := range order {
		out[i] = min(1, sorted[rank])
	}
	return out
}
