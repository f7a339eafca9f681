package analysis_test

import (
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// A size of several sittings says what is part of the spread; of one it has nothing to say.
func TestSizeOfSeveralSittingsSaysWhatSpreadItTakes(t *testing.T) {
	for most, want := range map[int]string{0: "", 2: "at 2 sittings", 1: "at 4 sittings"} {
		for _, test := range []study.Test{study.MixedF, study.PairedT} {
			s := panelOf(4)
			s.Serving.MaxPerSitting, s.Plan.Test, s.Plan.SmallestEffect = most, test, 1
			s.Panel = study.Panel{Assessors: 24, Sittings: 4}
			q, err := analysis.SizingOf(s)
			if err != nil {
				t.Fatal(err)
			}
			q.Spread = analysis.Spread{SD: 1.5}
			z, err := analysis.FindSize(q)
			if err != nil {
				t.Fatal(err)
			}
			said := ""
			for _, x := range z.Assumptions {
				if strings.Contains(x.String(), "different ones") {
					said += x.String()
				}
			}
			if (said == "") != (want == "") || !strings.Contains(said, want) {
				t.Errorf("%s, at most %d a sitting: %q", test, most, said)
			}
		}
	}
}
