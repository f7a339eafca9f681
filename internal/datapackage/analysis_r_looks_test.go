package datapackage

import (
	"fmt"
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

// R counts evidence again, step by step, by either way, where tasting stopped and where it did not.
func TestAnalysisInROfEvidence(t *testing.T) {
	needsR(t)
	for _, tc := range []struct {
		by      string
		effect  float64
		stopped bool
	}{{"mixture", 8, true}, {"mixture", 1, false}, {"betting", 12, true}, {"betting", 1, false}} {
		t.Run(fmt.Sprintf("%s, %g points", tc.by, tc.effect), func(t *testing.T) {
			file := strings.NewReplacer("\nanalysis:\n", "\nanalysis:\n  evidence: "+tc.by+"\n").Replace(
				string(studies.CeleriacCustard))
			d := closed(t, file, func(asked *study.Study, plan *design.Plan) []analysis.Rating {
				truth := analysis.CustardTruth()
				salt := truth[asked.Plan.Attribute]
				salt.Effects = map[study.SampleID]float64{asked.Plan.Compare[0]: tc.effect}
				truth[asked.Plan.Attribute] = salt
				return analysis.Simulate(asked, plan, truth, 4)
			})
			if e := d.Findings.Findings[0].Evidence; e.Stopped != tc.stopped {
				t.Fatalf("stopped %v after %d people", e.Stopped, len(e.Steps))
			}
			dir := t.TempDir()
			for name, text := range filesOf(t, d) {
				must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
			}
			out, err := inFolder(dir)
			if err != nil {
				t.Fatalf("%v\n%.6000s", err, out)
			}
			for _, number := range []string{"test.p", "difference", "ci.low", "ci.high", "evidence.steps.12",
				"evidence.log_e_beside", "evidence.plain.value"} {
				if !strings.Contains(out, " "+number+" ") {
					t.Errorf("R lacks %s:\n%.3000s", number, out)
				}
			}
		})
	}
}

// R finds p, estimate and interval of planned looks again, where tasting stopped at one and where
// it did not.
func TestAnalysisInROfPlannedLooks(t *testing.T) {
	needsR(t)
	file := strings.NewReplacer("\n  assessors: 40\n", "\n  assessors: 48\n  sittings: 3\n", "\nanalysis:\n",
		"\nanalysis:\n  looks: [16, 32]\n").Replace(string(studies.CeleriacCustard))
	names, by := []string{"stopped", "to the end"}, []float64{8, 2}
	var all []Data
	for i, name := range names {
		d := closed(t, file, func(asked *study.Study, plan *design.Plan) []analysis.Rating {
			truth := analysis.CustardTruth()
			salt := truth[asked.Plan.Attribute]
			salt.Effects = map[study.SampleID]float64{asked.Plan.Compare[0]: by[i]}
			truth[asked.Plan.Attribute] = salt
			ratings := analysis.Simulate(asked, plan, truth, 4)
			for i := range ratings {
				ratings[i].Look = ratings[i].Sitting
			}
			return ratings
		})
		if l := d.Findings.Findings[0].Looks; l.Stopped > 0 != (name == "stopped") || len(l.Taken) < 2 {
			t.Fatalf("%s: looks %+v", name, l)
		}
		for k := range 2 {
			at := night.Add(time.Duration(k-3) * time.Hour)
			d.Looks = append(d.Looks, panel.LookTaken{Look: panel.Look{At: at}, Sitting: k + 1})
		}
		for i, r := range d.Answers {
			d.Answers[i].At = night.Add(time.Duration(r.Sitting-4) * time.Hour)
		}
		all = append(all, d)
	}
	said, _ := soundAndSpoilt(t, all)
	for i, out := range said {
		for _, number := range []string{"test.p", "difference", "ci.low", "ci.high", "looks.plain.value"} {
			if !strings.Contains(out, " "+number+" ") {
				t.Errorf("%s: R lacks %s:\n%.3000s", names[i], number, out)
			}
		}
	}
}
