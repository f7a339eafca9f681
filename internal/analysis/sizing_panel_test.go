package analysis_test

import (
	"math"
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/stats"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

func besideOf(z *analysis.Size, code string) analysis.SizeBeside {
	for _, b := range z.Beside {
		if b.Code == code {
			return b
		}
	}
	return analysis.SizeBeside{}
}

// Seven samples in balanced blocks of three: t = 7, k = 3, λ = 1 for r = 3, so that
// E = λt/(rk) = 7/9 (Cochran & Cox 1957, ch. 11) and a pair is known as well as from a
// third of the assessors, who would have to taste both.
func TestSizeOfIncompleteBlocks(t *testing.T) {
	s := exampleStudy(t, "seven-caramels")
	s.Plan.SmallestEffect = 1
	q, err := analysis.SizingOf(s)
	if err != nil || math.Abs(q.Panel.Efficiency-7./9) > 1e-12 || q.Panel.Samples != 7 || q.Panel.Each != 3 {
		t.Fatalf("%+v, %v", q, err)
	}
	z := findSize(t, q)
	model := besideOf(z, analysis.BesideModelPair)
	if z.Needed.Assessors != 392 || z.Needed.Comparisons != 56 || model.Needed != 161 {
		t.Errorf("pairs take %d, the model %d; want 392 and 161", z.Needed.Assessors, model.Needed)
	}
	again := q
	again.Test, again.Each, again.Assessors = analysis.MixedPair, analysis.Part{}, 161
	exact, err := size.PowerPanelPair(161, size.PairTest{}, size.PanelDesign{Samples: 7, Each: 3, Efficiency: 7. / 9,
		Effect: 1 / q.Spread.SD})
	if z := findSize(t, again); err != nil || z.Needed.Assessors != 161 || relative(z.Planned.Power, exact) > 1e-9 ||
		exact < 0.8 {
		t.Errorf("by itself: %+v, %v", z.Needed, err)
	}
}

// A study that compares all samples is sized by the test that its plan names, and each
// test by an answer that fits the others: ranks take more people than means, and the
// corrected F a few more than the model.
func TestSizeOfWholePanels(t *testing.T) {
	s := exampleStudy(t, "four-custards")
	s.Plan.WholePanel = true
	needed := map[study.Test]int{}
	for _, test := range []study.Test{study.MixedF, study.RMAnova, study.Friedman} {
		s.Plan.Test = test
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(err)
		}
		z := findSize(t, q)
		needed[test] = z.Needed.Assessors
		simulated := slices.ContainsFunc(z.Warnings, func(w analysis.SizeWarning) bool {
			return w.Code == stats.WarnSimulated
		})
		if simulated == (test == study.MixedF) || z.Needed.Power < q.Power {
			t.Errorf("%s: %+v, simulated %v", test, z.Needed, simulated)
		}
		p, err := size.SimulatePanel(z.Needed.Assessors, 4000, 7, map[study.Test]size.PanelTest{
			study.Friedman: size.SimulateFriedman}[test], size.PanelDesign{Samples: 4, Effect: z.Effect})
		if test == study.Friedman && (err != nil || math.Abs(p.Power-z.Needed.Power) > 0.025) {
			t.Errorf("friedman: %d have power %v, simulated with another seed %v", z.Needed.Assessors, z.Needed.Power,
				p.Power)
		}
	}
	if !(needed[study.MixedF] <= needed[study.RMAnova] && needed[study.RMAnova] < needed[study.Friedman]) {
		t.Errorf("needed: %v", needed)
	}
}

// Beside all samples: any pair takes no more people than a given one, and all pairs more.
func TestSizeOfAdjustedPairs(t *testing.T) {
	q := analysis.Sizing{Test: analysis.SizedTest(study.MixedF), Difference: 5, Spread: analysis.GivenSpread(11),
		Assessors: 40, Panel: size.PanelDesign{Samples: 4}}
	z := findSize(t, q)
	anyPair, pair, all := besideOf(z, analysis.BesideAnyPair), besideOf(z, analysis.BesideTukeyPair),
		besideOf(z, analysis.BesideAllPairs)
	if !(anyPair.Needed <= pair.Needed && pair.Needed < all.Needed) || !(anyPair.Planned >= pair.Planned-0.02 &&
		pair.Planned > all.Planned) {
		t.Errorf("any %+v, one %+v, all %+v", anyPair, pair, all)
	}
	exact, err := size.PowerPanelPair(pair.Needed, size.PairTest{Tukey: true}, size.PanelDesign{Samples: 4,
		Effect: 5. / 11})
	before, err2 := size.PowerPanelPair(pair.Needed-1, size.PairTest{Tukey: true}, size.PanelDesign{Samples: 4,
		Effect: 5. / 11})
	if err != nil || err2 != nil || exact < 0.8 || before >= 0.8 {
		t.Errorf("%d for one pair: power %v, and %v with one fewer", pair.Needed, exact, before)
	}
}

// What Holm leaves to any one of m comparisons is at least the m-th part of the level.
func TestSizeOfTheOtherComparisons(t *testing.T) {
	s := exampleStudy(t, "four-custards")
	q, err := analysis.SizingOf(s)
	if err != nil || q.Others != 6*len(s.Attributes)-1 {
		t.Fatalf("%d others, %v", q.Others, err)
	}
	others := besideOf(findSize(t, q), analysis.BesideOthers)
	q.Alpha, q.Others = q.Alpha/float64(q.Others), 0
	if z := findSize(t, q); others.Needed != z.Needed.Assessors || others.Planned != z.Planned.Power {
		t.Errorf("others %+v, at their level %+v", others, z.Needed)
	}
	s.Plan.Adjust = study.NoAdjustment
	if q, err = analysis.SizingOf(s); err != nil || q.Others != 0 {
		t.Errorf("not adjusted: %d, %v", q.Others, err)
	}
}

// Every test of several samples refuses what it cannot be for, in words.
func TestSizeOfPanelsRefuses(t *testing.T) {
	for name, test := range map[string]analysis.SizedTest{"one-name-each": "mixed-f", "seven-caramels": "friedman",
		"celeriac-custard": "rm-anova"} {
		if _, err := analysis.SizingBy(exampleStudy(t, name), test); err == nil || err.Error() == "" {
			t.Errorf("%s by %s: %v", name, test, err)
		}
	}
	if _, err := analysis.FindSize(analysis.Sizing{Test: "mixed-f", Difference: 5,
		Spread: analysis.GivenSpread(11)}); err == nil {
		t.Error("a panel of no samples is sized")
	}
}

// The formula is that of the analysis which is run: of studies simulated with their plan,
// codes and scale, Analyse finds as many as the size says.
func TestSizeIsOfTheAnalysisThatIsRun(t *testing.T) {
	if testing.Short() {
		t.Skip("simulates studies")
	}
	for _, served := range []study.Design{study.All, study.Some} {
		s, plan, truth := sizedStudy(t, served)
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(err)
		}
		q.Spread = analysis.GivenSpread(11)
		want := findSize(t, q).Planned.Power
		found := 0
		const studies = 150
		for seed := range uint64(studies) {
			r, err := analysis.Analyse(s, analysis.Simulate(s, plan, truth, seed), analysis.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if f := r.Findings[0]; f.Role == analysis.Primary && f.Test.P < s.Plan.Alpha {
				found++
			}
		}
		got := float64(found) / studies
		if off := got - want; math.Abs(off) > 4*math.Sqrt(want*(1-want)/studies) {
			t.Errorf("%s: %v of %d studies find it, the size says %v", served, got, studies, want)
		}
	}
}

// sizedStudy is an example on a line from 0 to 100 that compares all its samples, two of
// which differ by its smallest effect, with a spread of 11.
func sizedStudy(t *testing.T, served study.Design) (*study.Study, *design.Plan, analysis.Truth) {
	t.Helper()
	name, effect := "four-custards", 4.8
	if served == study.Some {
		name, effect = "seven-caramels", 10
	}
	s := exampleStudy(t, name)
	s.Attributes = s.Attributes[:1]
	a := &s.Attributes[0]
	a.Scale = study.Scale{Kind: study.Line, From: 0, To: 100}
	s.Plan = study.AnalysisPlan{WholePanel: true, Attribute: a.ID, Test: study.MixedF, Sides: study.TwoSided,
		Alpha:          0.05,
		SmallestEffect: effect, Adjust: study.Holm}
	plan, err := design.Draw(s, design.Options{Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	return s, plan, analysis.Truth{a.ID: {Mean: 50, AssessorSD: 10, RatingSD: 11 / math.Sqrt2,
		Effects: map[study.SampleID]float64{s.Samples[0].ID: effect / 2, s.Samples[1].ID: -effect / 2}}}
}
