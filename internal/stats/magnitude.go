package stats

import (
	"errors"
	"math"
)

// ErrTooLarge is returned for numbers whose squares could leave the range of
// floating-point numbers: no rating, stimulus or effect is that large.
var ErrTooLarge = errors.New("values beyond ±1e70 cannot be squared safely: change their unit")

// maxMagnitude keeps products of four values finite.
const maxMagnitude = 1e70

// checkUsable returns [ErrNotFinite] for NaN or infinite values and
// [ErrTooLarge] for those beyond maxMagnitude.
func checkUsable(xs ...[]float64) error {
	if err := checkFinite(xs...); err != nil {
		return err
	}
	for _, x := range xs {
		for _, v := range x {
			if math.Abs(v) > maxMagnitude {
				return ErrTooLarge
			}
		}
	}
	return nil
}
