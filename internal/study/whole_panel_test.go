package study

import (
	"strings"
	"testing"
)

// fourWith is the study of four samples with another analysis section.
func fourWith(t *testing.T, analysis string) (*Study, []Problem) {
	t.Helper()
	before, _, ok := strings.Cut(read(t, "../../studies/four-custards.yaml"), "\nanalysis:\n")
	if !ok {
		t.Fatal("the study has no analysis")
	}
	return Parse("s.yaml", []byte(before+"\nanalysis:\n"+analysis))
}

func TestAllSamplesAsThePrimaryComparison(t *testing.T) {
	s, problems := fourWith(t, "  compare: all\n  attribute: liking\n")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if p := s.Plan; !p.WholePanel || p.Test != MixedF || p.Compare != [2]SampleID{} || p.Sides != TwoSided {
		t.Errorf("read %+v", p)
	}
	again, problems := Parse("s.yaml", Format(s))
	if len(problems) > 0 || Hash(again) != Hash(s) || !again.Plan.WholePanel {
		t.Errorf("written and read again: %+v, %v", again.Plan, problems)
	}
	other, _ := fourWith(t, "  compare: [P, S]\n  attribute: liking\n")
	if Hash(other) == Hash(s) {
		t.Error("a plan of a pair has the hash of a plan of all samples")
	}
}

func TestMistakesInAPlanOfAllSamples(t *testing.T) {
	for _, tc := range []struct{ name, analysis, want string }{
		{"one-sided", "  compare: all\n  attribute: liking\n  sides: greater\n", "no first one"},
		{"a test of two", "  compare: all\n  attribute: liking\n  test: paired-t\n", "paired-t compares two samples"},
		{"two samples with a test of all", "  compare: [P, S]\n  attribute: liking\n  test: friedman\n",
			"friedman compares all samples"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, problems := fourWith(t, tc.analysis)
			if len(problems) != 1 || !strings.Contains(problems[0].What.String(),
				tc.want) || problems[0].Instead.String() == "" {
				t.Errorf("got %v, want one with %q", problems, tc.want)
			}
		})
	}
}
