package stats_test

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/meta"
	"cloche/internal/stats/profile"
)

// numbersFrom turns bytes into numbers, among them NaN, the infinities, zeros
// of both signs and the extremes of float64.
func numbersFrom(raw []byte) []float64 {
	special := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.Copysign(0, -1), math.MaxFloat64,
		-math.MaxFloat64, math.SmallestNonzeroFloat64, 1, 1e-160}
	var out []float64
	for len(raw) > 0 && len(out) < 24 {
		b := raw[0]
		raw = raw[1:]
		switch {
		case b < 128:
			out = append(out, float64(b)/8)
		case b < 192:
			out = append(out, special[int(b)%len(special)])
		case len(raw) >= 8:
			out = append(out, math.Float64frombits(binary.LittleEndian.Uint64(raw)))
			raw = raw[8:]
		}
	}
	return out
}

func anyNotFinite(x ...float64) bool {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return true
		}
	}
	return false
}

// No method breaks on any numbers, none takes one that is not finite, and what
// is absent has a warning.
func FuzzNonFiniteInput(f *testing.F) {
	f.Add([]byte{8, 16, 24, 40, 56, 72, 88, 104})
	f.Add([]byte{128, 8, 16, 24})
	f.Add([]byte{130, 131, 132, 133, 134, 135, 136, 137})
	f.Add([]byte{8, 8, 8, 8, 8, 8})
	f.Add([]byte{200, 1, 2, 3, 4, 5, 6, 7, 8, 8, 8})
	f.Fuzz(func(t *testing.T, raw []byte) {
		x := numbersFrom(raw)
		half := len(x) / 2
		a, b := x[:half], x[half:2*half]
		bad := anyNotFinite(append(append([]float64{}, a...), b...)...)
		check := func(name string, err error, absent bool, warnings []stats.Warning) {
			if err == nil && bad {
				t.Errorf("%s took %v, %v", name, a, b)
			}
			if err == nil && absent && len(warnings) == 0 {
				t.Errorf("%s: absent without a warning for %v, %v", name, a, b)
			}
		}
		r3, err := dose.FitLine(a, b, 0)
		check("FitLine", err, math.IsNaN(r3.Sigma), r3.Warnings)
		r4, err := dose.PowerLaw(a, b, 0)
		check("PowerLaw", err, math.IsNaN(r4.ExponentSE), r4.Warnings)
		r5, err := dose.InversePrediction(a, b, 1, dose.CalibrationOptions{})
		check("InversePrediction", err, r5.CI.Absent(), r5.Warnings)
		studies := make([]meta.Study, half)
		for i := range studies {
			studies[i] = meta.Study{Estimate: a[i], Variance: b[i]}
		}
		r6, err := meta.Combine(studies, 0)
		check("CombineStudies", err, math.IsNaN(r6.Q), r6.Warnings)
		table := [][]float64{a, b}
		r7, err := profile.IntraclassCorrelations(table, 0)
		check("IntraclassCorrelations", err, math.IsNaN(r7.Single3.Value), r7.Warnings)
		_, err = profile.PrincipalComponents(table)
		check("PrincipalComponents", err, false, nil)
		_, err = profile.MapMeans(profile.PanelTable{table, table, table}, rand.New(rand.NewPCG(1, 1)),
			profile.MeanMapOptions{Draws: 5})
		check("MapMeans", err, false, nil)
		var ratings []profile.PanelRating
		for i, v := range x[:2*half] {
			ratings = append(ratings, profile.PanelRating{Assessor: i % 2, Sample: i % 3, Value: v})
		}
		r8, err := profile.PanelPerformance(ratings)
		check("PanelPerformance", err, math.IsNaN(r8.FSample), r8.Warnings)
	})
}
