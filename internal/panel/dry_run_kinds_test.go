package panel_test

import (
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// TestTryEveryKind: studies that deal one sample to each guest, with strata or without, and
// orders are tried as others are: their whole analysis under both truths.
func TestTryEveryKind(t *testing.T) {
	for name, tc := range map[string]struct {
		file string
		kind analysis.Kind
	}{
		"one sample each":      {"one-name-each", analysis.KindGroups},
		"an order":             {"four-crusts", analysis.KindRanking},
		"an order as expected": {"salt-in-order", analysis.KindRanking},
	} {
		text, err := os.ReadFile("../../studies/" + tc.file + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		a, problems := study.Parse(tc.file, text)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		tried, err := panel.Try(a, "an-id", analysis.Spread{}, 1)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		size, err := analysis.FindSize(must(analysis.SizingOf(a)))
		if err != nil {
			t.Fatal(err)
		}
		if tried.None.Computed != a.Plan.Alpha || tried.Smallest.Computed != size.Planned.Power ||
			tried.Smallest.Difference != a.Plan.SmallestEffect {
			t.Errorf("%s: computed %g and %g, want %g and %g", name, tried.None.Computed, tried.Smallest.Computed,
				a.Plan.Alpha, size.Planned.Power)
		}
		for _, x := range []panel.Trial{tried.None, tried.Smallest} {
			f := x.Result.Findings[0]
			if f.Kind != tc.kind || f.N != a.Panel.Assessors || x.Often.Studies < 20 ||
				tc.file == "one-name-each" && f.Groups.Strata != 2 {
				t.Errorf("%s: a finding of kind %s of %d people in %d strata, %d studies", name, f.Kind, f.N,
					f.Groups.Strata, x.Often.Studies)
			}
		}
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}
