package looks

import (
	"math"

	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// Classical are constant designs of equally spaced looks (Pocock 1977, Biometrika 64:191;
// O'Brien & Fleming 1979, Biometrics 35:549; from memory), for comparison with their tables.
type Classical struct {
	PocockConstant, OBrienFlemingConstant float64
	PocockZ, OBrienFlemingZ               []float64
	PocockMore, OBrienFlemingMore         [2]float64 // largest n over the n of one look, at 80 and at 90 % power
	Uncorrected                           float64    // false alarms of testing at the one-look bound every time
}

// ClassicalBounds returns the constants of so many looks at alpha, two-sided.
func ClassicalBounds(looks int, alpha float64) (Classical, error) {
	t := make([]float64, looks)
	for k := range t {
		t[k] = float64(k+1) / float64(looks)
	}
	if _, err := Bounds(t, alpha, Pocock); err != nil {
		return Classical{}, err
	}
	flat := func(c float64, k int) float64 { return c }
	falling := func(c float64, k int) float64 { return c / math.Sqrt(t[k]) }
	var r Classical
	r.PocockConstant, r.PocockZ, r.PocockMore = constantOf(t, alpha, flat)
	r.OBrienFlemingConstant, r.OBrienFlemingZ, r.OBrienFlemingMore = constantOf(t, alpha, falling)
	r.Uncorrected = powerOf(t, shaped(t, -dist.NormalQuantile(alpha/2), flat), 0)
	return r, nil
}

func shaped(t []float64, c float64, shape func(float64, int) float64) []float64 {
	z := make([]float64, len(t))
	for k := range z {
		z[k] = shape(c, k)
	}
	return z
}

func powerOf(t, z []float64, drift float64) float64 {
	e, err := Exit(t, z, drift)
	if err != nil {
		return math.NaN()
	}
	return e.Power
}

// constantOf finds the constant that spends alpha, and what the looks cost in people.
func constantOf(t []float64, alpha float64, shape func(float64, int) float64) (c float64, z []float64,
	more [2]float64) {
	c = numeric.BracketRoot(func(c float64) float64 { return powerOf(t, shaped(t, c, shape), 0) - alpha }, 0.5, 10,
		1e-13)
	z = shaped(t, c, shape)
	one := []float64{1}
	for i, power := range []float64{0.8, 0.9} {
		needs := func(t, z []float64) float64 {
			return numeric.BracketRoot(func(d float64) float64 { return powerOf(t, z, d) - power }, 0, 20, 1e-13)
		}
		more[i] = math.Pow(needs(t, z)/needs(one, []float64{-dist.NormalQuantile(alpha / 2)}), 2)
	}
	return c, z, more
}
