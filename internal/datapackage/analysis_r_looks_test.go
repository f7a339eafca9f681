package datapackage

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
	"cloche/studies"
)

// R finds p, estimate and interval of planned looks again, where tasting stopped at one and where
// it did not.
func TestAnalysisInROfPlannedLooks(t *testing.T) {
	needsR(t)
	file := strings.NewReplacer("\n  assessors: 40\n", "\n  assessors: 48\n  sittings: 3\n", "\nanalysis:\n",
		"\nanalysis:\n  looks: [16, 32]\n").Replace(string(studies.CeleriacCustard))
	for name, by := range map[string]float64{"stopped": 8, "to the end": 2} {
		t.Run(name, func(t *testing.T) {
			d := closed(t, file, func(asked *study.Study, plan *design.Plan) []analysis.Rating {
				truth := analysis.CustardTruth()
				salt := truth[asked.Plan.Attribute]
				salt.Effects = map[study.SampleID]float64{asked.Plan.Compare[0]: by}
				truth[asked.Plan.Attribute] = salt
				ratings := analysis.Simulate(asked, plan, truth, 4)
				for i := range ratings {
					ratings[i].Look = ratings[i].Sitting
				}
				return ratings
			})
			if l := d.Findings.Findings[0].Looks; l.Stopped > 0 != (name == "stopped") || len(l.Taken) < 2 {
				t.Fatalf("looks %+v", l)
			}
			for k := range 2 {
				at := night.Add(time.Duration(k-3) * time.Hour)
				d.Looks = append(d.Looks, panel.LookTaken{Look: panel.Look{At: at}, Sitting: k + 1})
			}
			for i, r := range d.Answers {
				d.Answers[i].At = night.Add(time.Duration(r.Sitting-4) * time.Hour)
			}
			dir := t.TempDir()
			for name, text := range filesOf(t, d) {
				must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
			}
			out, err := inFolder(dir)
			if err != nil {
				t.Fatalf("%v\n%.6000s", err, out)
			}
			for _, number := range []string{"test.p", "difference", "ci.low", "ci.high", "looks.plain.value"} {
				if !strings.Contains(out, " "+number+" ") {
					t.Errorf("R lacks %s:\n%.3000s", number, out)
				}
			}
			spoil(t, filepath.Join(dir, "numbers.csv"))
			if out, err := inFolder(dir); err == nil || !strings.Contains(out, "DIFFERS") {
				t.Errorf("a p that was changed goes unseen: %v", err)
			}
		})
	}
}
