package analysis_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Whoever is left out is as if they had never rated, but for being counted.
func TestScreenedOutAreAsIfAbsent(t *testing.T) {
	s := panelOf(2)
	s.Panel.Screening = []study.Screen{{ID: "senses", Ask: "A cold?", LeavesOut: study.Yes},
		{ID: "hungry", Ask: "Hungry?", LeavesOut: study.No}}
	a, b := []float64{50, 61, 55, 70, 44, 58, 66, 47, 52, 63}, []float64{48, 60, 52, 66, 45, 50, 66, 41, 50, 61}
	said, problems := analysis.ReadScreeningCSV("s.csv", strings.NewReader("assessor,question,answer\n"+
		"1,senses,no\n1,hungry,yes\n9,senses,no\n9,hungry,no\n10,senses,yes\n10,hungry,no\n"), s)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	all, err := analysis.Analyse(s, paired(a, b), analysis.Options{Screened: said})
	if err != nil {
		t.Fatal(err)
	}
	without, err := analysis.Analyse(s, paired(a[:8], b[:8]), analysis.Options{Screened: said[:2]})
	if err != nil {
		t.Fatal(err)
	}
	want := []analysis.Exclusion{{Reason: "said no to the screening question “hungry”", Count: 1},
		{Reason: "said yes to the screening question “senses”", Count: 1}}
	if diff := cmp.Diff(want, all.Excluded); diff != "" {
		t.Errorf("left out (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(without, all, cmpopts.IgnoreFields(analysis.Result{}, "Excluded"),
		cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("findings (-without them +left out):\n%s", diff)
	}
}

func TestScreeningCSVMistakes(t *testing.T) {
	s := panelOf(2)
	s.Panel.Screening = []study.Screen{{ID: "senses", Ask: "A cold?", LeavesOut: study.Yes}}
	for rows, want := range map[string]string{
		",senses,no": "no assessor", "1,taste,no": `"taste" is no screening question`,
		"1,senses,perhaps":          `the answer is "perhaps"`,
		"1,senses,no\n1,senses,yes": "answered senses in line 2 already",
	} {
		_, problems := analysis.ReadScreeningCSV("s.csv", strings.NewReader("assessor,question,answer\n"+rows+"\n"), s)
		if len(problems) != 1 || !strings.Contains(problems[0].What.String(), want) {
			t.Errorf("%q: %v, want %q", rows, problems, want)
		}
	}
}
