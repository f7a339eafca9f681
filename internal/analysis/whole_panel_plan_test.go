package analysis_test

import (
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// A plan that compares all samples has that finding first, and no pairs beside it.
func TestPlanOfAllSamples(t *testing.T) {
	for test, want := range map[study.Test]method.ID{study.MixedF: method.MixedF, study.RMAnova: method.RMAnova,
		study.Friedman: method.Friedman} {
		s, ratings, _ := tasted(20, 4, 3, 1, 0)
		s.Plan.WholePanel, s.Plan.Compare, s.Plan.Test = true, [2]study.SampleID{}, test
		s.Attributes = append([]study.Attribute{{ID: "first", Ask: "How sweet is it?", Scale: s.Attributes[0].Scale}},
			s.Attributes...)
		r := analyse(t, s, ratings)
		if len(r.Findings) != 2 || r.Findings[0].Attribute != "salt" || r.Findings[0].Role != analysis.Primary ||
			r.Findings[1].Role != analysis.Secondary {
			t.Fatalf("%s: %d findings, the first %s on %s", test, len(r.Findings), r.Findings[0].Role,
				r.Findings[0].Attribute)
		}
		f := r.Findings[0]
		if f.Test.Method != want || len(f.Also) != 3 || !(f.Test.P < 0.05) ||
			f.Verdict.Code != analysis.DifferentSizeOpen && f.Verdict.Code != analysis.DifferentAct {
			t.Errorf("%s: test %+v, also %d, verdict %s", test, f.Test, len(f.Also), f.Verdict.Code)
		}
		if r.Findings[1].N != 0 || r.Findings[1].Verdict.Code != analysis.TooFew {
			t.Errorf("%s: of what nobody rated: %+v", test, r.Findings[1].Verdict)
		}
	}
}
