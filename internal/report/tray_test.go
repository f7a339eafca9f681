package report_test

import (
	"os"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// The technical part of a study of trays says whether people might taste again; that of a
// study of single servings has nothing to say.
func TestTechnicalPartSaysWhetherTastingAgainWasAllowed(t *testing.T) {
	for name, tray := range map[string]bool{"browned-butter": true, "celeriac-custard": false} {
		src, err := os.ReadFile("../../studies/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, problems := study.Parse(name, src)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		for once, want := range map[bool]string{true: "not allowed", false: "allowed"} {
			s.Serving.TasteOnce = once
			said := ""
			p := report.Build(s, &analysis.Result{Findings: []analysis.Finding{{Kind: analysis.KindChoice,
				Choice: analysis.ChoicePart{Told: &analysis.Told{}}, Comparison: []study.SampleID{s.Samples[0].ID,
					s.Samples[1].ID}}}}, report.Options{})
			for _, f := range p.Technical.Facts {
				if f.What == "Tasting again within a tray" {
					said = f.Value
				}
			}
			if tray != (said != "") || tray && !strings.HasPrefix(said, want) {
				t.Errorf("%s, taste once %t: %q", name, once, said)
			}
		}
	}
}
