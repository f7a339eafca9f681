package stats

import (
	"fmt"
	"math"
)

// LevelIfConstant makes values equal that differ by rounding error alone, so
// that a group without spread is seen as one.
func LevelIfConstant(v []float64, grid float64) {
	for _, x := range v {
		if OnGrid(x, grid) != OnGrid(v[0], grid) {
			return
		}
	}
	for i := range v {
		v[i] = v[0]
	}
}

// SDUnlessConstant is the standard deviation of raw, exactly 0 when the
// values are equal on the grid.
func SDUnlessConstant(raw, gridded []float64) float64 {
	if len(raw) > 1 && AllEqual(gridded) {
		return 0
	}
	return SD(raw)
}

// decimals is the number of decimal places to which differences of ratings are
// compared: 1.3 and 3.3 − 2.0 = 1.2999999999999998 must tie.
const decimals = 10

// Resolution returns the grid on which differences of the values count as
// equal: 10⁻¹⁰ for values between 10⁻⁴ and 10⁵ in size, scaled with the
// largest value outside that range, so that changing the unit of very small
// or very large values does not create or destroy ties.
func Resolution(values ...[]float64) float64 {
	largest := 0.0
	for _, x := range values {
		for _, v := range x {
			largest = max(largest, math.Abs(v))
		}
	}
	grid := math.Pow10(-decimals)
	if largest == 0 {
		return grid
	}
	exponent := math.Floor(math.Log10(largest))
	switch {
	case exponent > 4:
		return grid * math.Pow(10, exponent-4)
	case exponent < -4:
		return grid * math.Pow(10, exponent+4)
	}
	return grid
}

// OnGrid rounds v to the nearest multiple of grid. Whole numbers, as most
// ratings are, lie on any grid below 1.
func OnGrid(v, grid float64) float64 {
	if grid < 1 && v == math.Floor(v) {
		return v
	}
	if inverse := math.Round(1 / grid); grid < 1 && inverse < 1e300 {
		return math.Round(v*inverse) / inverse
	}
	return math.Round(v/grid) * grid
}

// Differences returns x − y as they are (for moments) and on the grid of
// [Resolution] (for ranks, signs and equality), after checking that the pairs
// are complete and finite.
func Differences(x, y []float64) (raw, gridded []float64, err error) {
	if err := CheckPairs(x, y); err != nil {
		return nil, nil, err
	}
	grid := Resolution(x, y)
	both := make([]float64, 2*len(x))
	raw, gridded = both[:len(x):len(x)], both[len(x):]
	for i := range x {
		raw[i] = x[i] - y[i]
		gridded[i] = OnGrid(raw[i], grid)
	}
	return raw, gridded, nil
}

// CheckPairs returns [ErrUnequalLengths], [ErrEmpty] or [ErrNotFinite].
func CheckPairs(x, y []float64) error {
	if len(x) != len(y) {
		return ErrUnequalLengths
	}
	if len(x) == 0 {
		return ErrEmpty
	}
	return CheckSize(x, y)
}

// largestValue keeps squares and their sums inside the range of a float64.
const largestValue = 1e140

// CheckSize returns [ErrNotFinite] when a value is not finite or so large that
// its square is not.
func CheckSize(xs ...[]float64) error {
	for _, x := range xs {
		for _, v := range x {
			if !(math.Abs(v) <= largestValue) {
				return fmt.Errorf("value %v: %w", v, ErrNotFinite)
			}
		}
	}
	return nil
}

// ShiftedDifferences returns x − y − mu on the grid of equality.
func ShiftedDifferences(x, y []float64, mu float64) ([]float64, error) {
	if err := CheckSize([]float64{mu}); err != nil {
		return nil, err
	}
	raw, d, err := Differences(x, y)
	if err != nil || mu == 0 {
		return d, err
	}
	grid := Resolution(x, y, []float64{mu})
	for i := range d {
		d[i] = OnGrid(raw[i]-mu, grid)
	}
	return d, nil
}
