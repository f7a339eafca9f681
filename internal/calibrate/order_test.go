package calibrate_test

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/study"
)

// TestOrderOfAnswersIsNothing: of every kind of plan the same is found, to eight digits,
// whichever way its answers stand in a file.
func TestOrderOfAnswersIsNothing(t *testing.T) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		t.Fatal(err)
	}
	for i, k := range kinds {
		t.Run(k.Name, func(t *testing.T) {
			random := rand.New(rand.NewPCG(uint64(i), 3))
			plan, err := design.Draw(k.Study, design.Options{Seed: 5})
			if err != nil {
				t.Fatal(err)
			}
			answers := calibrate.Answers(k.Study, plan, 5, random)
			found := findings(t, k.Study, answers)
			mixed := slices.Clone(answers)
			random.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
			if diff := cmp.Diff(found, findings(t, k.Study, mixed), alike); diff != "" {
				t.Errorf("in another order:\n%.2000s", diff)
			}
		})
	}
}

func findings(t *testing.T, s *study.Study, answers []analysis.Rating) []analysis.Finding {
	t.Helper()
	r, err := analysis.Analyse(s, answers, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r.Findings
}

// alike are findings whose numbers agree to eight digits.
var alike = cmp.Options{cmpopts.EquateApprox(1e-8, 1e-10), cmpopts.EquateNaNs(),
	cmp.Exporter(func(reflect.Type) bool { return true })}
