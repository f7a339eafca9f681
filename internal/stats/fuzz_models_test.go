package stats

import (
	"math"
	"testing"
)

// fuzzValues turns bytes into ratings, with NaN and infinities among them.
func fuzzValues(data []byte) []float64 {
	special := []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64, 5e-324, 1e-300, 1e300}
	out := make([]float64, len(data))
	for i, b := range data {
		switch {
		case b >= 248:
			out[i] = special[b-248]
		case b >= 200:
			out[i] = float64(b) / 7
		default:
			out[i] = float64(b % 10)
		}
	}
	return out
}

// checkP fails when a p-value is neither in [0, 1] nor absent with a warning.
func checkP(t *testing.T, name string, p float64, warnings []Warning) {
	t.Helper()
	if math.IsNaN(p) && len(warnings) == 0 {
		t.Errorf("%s: no p and no warning", name)
	}
	if p < 0 || p > 1+1e-12 {
		t.Errorf("%s: p = %v", name, p)
	}
}

func FuzzTables(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9}, byte(3))
	f.Add([]byte{248, 2, 3, 4, 249, 6, 7, 8, 9, 1, 2, 3}, byte(3))
	f.Add([]byte{5, 5, 5, 5, 5, 5}, byte(2))
	f.Add([]byte{251, 252, 253, 254, 255, 1, 2, 3}, byte(2))
	f.Add([]byte("012\xfd"), byte('%')) // a variance that underflows
	f.Add([]byte{255, 1, 1, 255, 255, 1, 1, 1, 2}, byte(3))
	f.Fuzz(func(t *testing.T, data []byte, columns byte) {
		k := int(columns%6) + 1
		if len(data) > 120 {
			return
		}
		values := fuzzValues(data)
		var rows [][]float64
		for len(values) >= k {
			rows, values = append(rows, values[:k]), values[k:]
		}
		if r, err := RMAnova(rows, RMAnovaOptions{}); err == nil {
			checkP(t, "rm anova", r.P, r.Warnings)
		}
		if r, err := Friedman(rows); err == nil {
			checkP(t, "friedman", r.P, r.Warnings)
		}
		if r, err := Page(rows); err == nil {
			checkP(t, "page", r.P, r.Warnings)
		}
		if r, err := OneWayAnova(rows); err == nil {
			checkP(t, "one-way", r.P, r.Warnings)
			checkP(t, "welch", r.WelchP, r.Warnings)
			checkP(t, "kruskal", r.Kruskal.P, r.Warnings)
		}
		var y []float64
		var a, b []int
		for i, row := range rows {
			for j, v := range row {
				y, a, b = append(y, v), append(a, i), append(b, j)
			}
		}
		if r, err := IncompleteBlocks(y, a, b); err == nil {
			checkP(t, "blocks", r.P, r.Warnings)
		}
		if r, err := TwoWayAnova(y, a, b); err == nil {
			checkP(t, "two-way", r.TypeII[0].P, r.Warnings)
		}
	})
}

// seedModels are ratings with ties, absences and extremes.
func seedModels(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 2, 3}, byte(4), byte(3))
	f.Add([]byte{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}, byte(4), byte(3))
	f.Add([]byte{248, 2, 3, 4, 5, 250, 7, 8, 9, 1, 2, 3}, byte(3), byte(2))
	f.Add([]byte{251, 252, 1, 2, 253, 255, 254, 1}, byte(2), byte(4))
}

// fuzzData deals ratings out over assessors and samples.
func fuzzData(data []byte, assessors, samples int) ModelData {
	d := ModelData{Response: fuzzValues(data), Factors: []Factor{
		{Name: "assessor", Levels: numbered("a", assessors)}, {Name: "sample", Levels: numbered("s", samples)}}}
	for i, b := range data {
		d.Factors[0].Code = append(d.Factors[0].Code, i%assessors)
		d.Factors[1].Code = append(d.Factors[1].Code, int(b/10)%samples)
	}
	return d
}

func FuzzMixed(f *testing.F) {
	seedModels(f)
	f.Fuzz(func(t *testing.T, data []byte, assessors, samples byte) {
		na, ns := int(assessors%8)+1, int(samples%5)+1
		if len(data) > 120 {
			return
		}
		m := MixedModel{Data: fuzzData(data, na, ns), Fixed: []Term{{"sample"}}, Random: []RandomTerm{{Group: Term{"assessor"}}}}
		if fit, err := FitMixed(m); err == nil {
			for _, c := range fit.Fixed {
				checkP(t, c.Name, c.P, fit.Warnings)
			}
			for _, a := range fit.Anova() {
				if a.DF1 > 0 {
					checkP(t, a.Term.String(), a.P, fit.Warnings)
				}
			}
		}
	})
}

func FuzzOrdinal(f *testing.F) {
	seedModels(f)
	f.Fuzz(func(t *testing.T, data []byte, assessors, samples byte) {
		if len(data) > 120 {
			return
		}
		o := OrdinalModel{Data: fuzzData(data, int(assessors%8)+1, int(samples%5)+1), Levels: numbered("", 10),
			Fixed: []Term{{"sample"}}, Group: Term{"assessor"}}
		if fit, err := FitOrdinal(o); err == nil {
			for _, c := range fit.Coefficients {
				checkP(t, c.Name, c.P, fit.Warnings)
			}
		}
	})
}
