package stats_test

import (
	"testing"

	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
	"cloche/internal/stats/ordinal"
	"cloche/internal/stats/statstest"
)

// seedModels are ratings with ties, absences and extremes.
func seedModels(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 2, 3}, byte(4), byte(3))
	f.Add([]byte{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}, byte(4), byte(3))
	f.Add([]byte{248, 2, 3, 4, 5, 250, 7, 8, 9, 1, 2, 3}, byte(3), byte(2))
	f.Add([]byte{251, 252, 1, 2, 253, 255, 254, 1}, byte(2), byte(4))
}

// fuzzData deals ratings out over assessors and samples.
func fuzzData(data []byte, assessors, samples int) model.Data {
	d := model.Data{Response: statstest.FuzzValues(data), Factors: []model.Factor{
		{Name: "assessor", Levels: statstest.Numbered("a", assessors)}, {Name: "sample",
			Levels: statstest.Numbered("s", samples)}}}
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
		m := mixed.Model{Data: fuzzData(data, na, ns), Fixed: []model.Term{{"sample"}},
			Random: []mixed.RandomTerm{{Group: model.Term{"assessor"}}}}
		if fit, err := mixed.Fit(m); err == nil {
			for _, c := range fit.Fixed {
				statstest.CheckP(t, c.Name, c.P, fit.Warnings)
			}
			for _, a := range fit.Anova() {
				if a.DF1 > 0 {
					statstest.CheckP(t, a.Term.String(), a.P, fit.Warnings)
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
		o := ordinal.Model{Data: fuzzData(data, int(assessors%8)+1, int(samples%5)+1),
			Levels: statstest.Numbered("", 10),
			Fixed:  []model.Term{{"sample"}}, Group: model.Term{"assessor"}}
		if fit, err := ordinal.Fit(o); err == nil {
			for _, c := range fit.Coefficients {
				statstest.CheckP(t, c.Name, c.P, fit.Warnings)
			}
		}
	})
}
