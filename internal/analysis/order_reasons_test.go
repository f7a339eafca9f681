package analysis_test

import (
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Why order could not be checked is said as it is.
func TestWhyOrderIsNotChecked(t *testing.T) {
	at := func(who, sample string, position int, value float64) analysis.Rating {
		return analysis.Rating{Assessor: who, Sample: study.SampleID(sample), Position: position, Attribute: "salt",
			Value: value}
	}
	var fixed, flat []analysis.Rating
	for i, who := range []string{"1", "2", "3", "4", "5", "6", "7"} {
		v := float64(30 + i*i%11)
		fixed = append(fixed, at(who, "A", 1, v), at(who, "B", 2, v+float64(i)), at(who, "C", 3, 2*v))
		flat = append(flat, at(who, "A", 1+i%3, v), at(who, "B", 1+(i+1)%3, v), at(who, "C", 1+(i+2)%3, v))
	}
	for _, tc := range []struct {
		name    string
		samples int
		ratings []analysis.Rating
		want    string
	}{
		{"every sample at one position", 3, fixed, "which sample was served goes with the position"},
		{"nobody differs", 3, flat, "no scatter"},
		{"two people of three", 3, []analysis.Rating{at("1", "A", 1, 3), at("1", "B", 2, 5), at("2", "A", 2, 4),
			at("2", "B", 1, 9)}, "too few ratings are left"},
		{"one order of two", 2, []analysis.Rating{at("1", "A", 1, 3), at("1", "B", 2, 5), at("2", "A", 1, 4),
			at("2", "B", 2, 9), at("3", "A", 2, 4), at("3", "B", 1, 9)},
			"“Dish A” came first for 2 of the assessors and “Dish B” for 1, and it takes at least two of each"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := analyse(t, panelOf(tc.samples), tc.ratings).Findings[0]
			for _, w := range f.Warnings {
				if w.Code == analysis.WarnOrderOpen && strings.Contains(w.Text, tc.want) {
					return
				}
			}
			t.Errorf("no word that %q: %v", tc.want, f.Warnings)
		})
	}
}
