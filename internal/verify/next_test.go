package verify

import (
	"slices"
	"testing"
)

// next are values of methods to come: those that the program has are compared.
const next = "../../testdata/reference/next.json"

// notYet are the methods of that file which the program does not have.
var notYet = []string{"anytime_proportion", "dominance_significance",
	"normal_mixture_bound", "opposite_directions", "parallel_line_ratio", "penalty_analysis",
	"preference_with_ties", "prevalence",
	"replicated_discrimination", "sequential_proportion", "spread_prior"}

// What stands for methods to come is right as soon as they are there; what is not there
// yet is listed, and nothing else.
func TestReferenceOfMethodsToCome(t *testing.T) {
	t.Parallel()
	file := File(next)
	if file.Err != nil {
		t.Fatal(file.Err)
	}
	known, missing := map[string]int{}, map[string]bool{}
	for i, e := range entriesOf(t, next) {
		if _, ok := methods()[e.Method]; !ok {
			missing[e.Method] = true
			continue
		}
		known[e.Method]++
		for _, d := range file.Results[i].Failures {
			t.Errorf("%s (%s): %s", e.ID, e.Source, differenceLine(d))
		}
	}
	for _, name := range notYet {
		if !missing[name] {
			t.Errorf("%s is there, or has no values: take it off the list", name)
		}
	}
	for name := range missing {
		if !slices.Contains(notYet, name) {
			t.Errorf("%s is not there and not on the list", name)
		}
	}
	if known["randomisation_test"] != 6 || known["friedman_exact"] != 3 {
		t.Errorf("compared %v", known)
	}
}
