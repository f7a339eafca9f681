package stats

import (
	"errors"
	"math"
)

// ErrTooLarge is returned for numbers whose squares could leave the range of
// floating-point numbers: no rating, stimulus or effect is that large.
var ErrTooLarge = errors.New("values beyond ±1e70 cannot be squared safely: change their unit")

// MaxMagnitude keeps products of four values finite.
const MaxMagnitude = 1e70

// CheckUsable returns [ErrNotFinite] for NaN or infinite values and
// [ErrTooLarge] for those beyond MaxMagnitude.
func CheckUsable(xs ...[]float64) error {
	if err := CheckFinite(xs...); err != nil {
		return err
	}
	for _, x := range xs {
		for _, v := range x {
			if math.Abs(v) > MaxMagnitude {
				return ErrTooLarge
			}
		}
	}
	return nil
}
