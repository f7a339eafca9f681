package analysis_test

import (
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// TestABrokenBlindIsCounted marks ratings of two assessors, of whom one rated only
// one sample.
func TestABrokenBlindIsCounted(t *testing.T) {
	s := panelOf(2)
	var ratings []analysis.Rating
	for i, who := range []string{"1", "2", "3", "4", "5", "6", "7", "8"} {
		for k, sample := range []study.SampleID{"A", "B"} {
			ratings = append(ratings, analysis.Rating{Assessor: who, Position: (i+k)%2 + 1, Sample: sample,
				Attribute: "salt", Value: float64(40 + 3*i + 5*k*(i%3))})
		}
	}
	ratings = append(ratings, analysis.Rating{Assessor: "9", Position: 1, Sample: "A", Attribute: "salt", Value: 50,
		Revealed: true})
	plain, err := analysis.Analyse(s, ratings[:16], analysis.Options{PlanHash: "x"})
	if err != nil {
		t.Fatal(err)
	}
	if hasWarning(plain.Warnings, analysis.WarnBlindBroken) ||
		hasWarning(plain.Findings[0].Warnings, analysis.WarnBlindBroken) {
		t.Error("a warning although the blind held")
	}
	ratings[5].Revealed = true
	broken, err := analysis.Analyse(s, ratings, analysis.Options{PlanHash: "x"})
	if err != nil {
		t.Fatal(err)
	}
	if text := textOf(broken.Warnings); !strings.Contains(text, "2 of the 17 ratings") {
		t.Errorf("of the study: %q, want 2 of 17", text)
	}
	if text := textOf(broken.Findings[0].Warnings); !strings.Contains(text, "1 of the 16 ratings") {
		t.Errorf("of the comparison: %q, want 1 of the 16 that it uses", text)
	}
	if broken.Findings[0].Value != plain.Findings[0].Value {
		t.Error("a broken blind changes the difference")
	}
}

func textOf(ws []analysis.Warning) string {
	for _, w := range ws {
		if w.Code == analysis.WarnBlindBroken {
			return w.Text
		}
	}
	return ""
}
