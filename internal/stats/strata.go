package stats

import "slices"

// Stratum is what one stratum has of either sample.
type Stratum struct{ X, Y []float64 }

// Strata parts two samples by the strata of their values, which have the same lengths as
// they; strata in the order of their names.
func Strata(x, y []float64, ofX, ofY []string) []Stratum {
	names := slices.Concat(ofX, ofY)
	slices.Sort(names)
	names = slices.Compact(names)
	all := make([]Stratum, len(names))
	for i, v := range x {
		h, _ := slices.BinarySearch(names, ofX[i])
		all[h].X = append(all[h].X, v)
	}
	for i, v := range y {
		h, _ := slices.BinarySearch(names, ofY[i])
		all[h].Y = append(all[h].Y, v)
	}
	return all
}
