package datapackage

import (
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
	cases := []struct {
		by      string
		effect  float64
		stopped bool
	}{{"mixture", 8, true}, {"mixture", 1, false}, {"betting", 12, true}, {"betting", 1, false}}
	var all []Data
	for _, tc := range cases {
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
			t.Fatalf("%s, %g points: stopped %v after %d people", tc.by, tc.effect, e.Stopped, len(e.Steps))
		}
		all = append(all, d)
	}
	said, _ := soundAndSpoilt(t, all)
	for i, out := range said {
		for _, number := range []string{"test.p", "difference", "ci.low", "ci.high", "evidence.steps.12",
			"evidence.log_e_beside", "evidence.plain.value"} {
			if !strings.Contains(out, " "+number+" ") {
				t.Errorf("%s, %g points: R lacks %s:\n%.3000s", cases[i].by, cases[i].effect, number, out)
			}
		}
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
