package report_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/report"
	_ "cloche/internal/simulated" // studies of a moment are garbage: collect it less often
	"cloche/internal/stats"
	"cloche/internal/study"
)

// TestVerdictsOfEveryKindFollowTheTable: of simulated studies of every kind of plan, with
// no effect and with large ones, the verdict of each finding is what the table says of its
// test, intervals and margin, and the first lines of the report hold no statistics.
func TestVerdictsOfEveryKindFollowTheTable(t *testing.T) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[analysis.Kind]map[analysis.VerdictCode]int{}
	for _, k := range kinds {
		for seed, size := range []float64{0, 6, 20, 45} {
			s := *k.Study
			plan, err := design.Draw(&s, design.Options{Seed: uint64(seed)})
			if err != nil {
				t.Fatal(err)
			}
			if s.Plan.SmallestEffect == 0 && seed > 0 {
				s.Plan.SmallestEffect = marginOf(&s, seed)
			}
			r, err := analysis.Analyse(&s, simulatedAnswers(&s, plan, size, uint64(seed)),
				calibrate.Knowing(&s, plan))
			if err != nil {
				t.Fatalf("%s: %v", k.Name, err)
			}
			for _, f := range r.Findings {
				if f.Kind == analysis.KindAboutRight { // has a table of its own
					continue
				}
				if want := byTable(&s, f); f.Verdict.Code != want {
					t.Errorf("%s, %s %s: %s, by the table %s: %+v", k.Name, f.Role, f.Kind, f.Verdict.Code, want,
						f.Test)
				}
				if seen[f.Kind] == nil {
					seen[f.Kind] = map[analysis.VerdictCode]int{}
				}
				seen[f.Kind][f.Verdict.Code]++
			}
			checkFirstLines(t, report.Build(&s, r, report.Options{}))
			fitsSchema(t, &s, r)
		}
	}
	for _, kind := range []analysis.Kind{analysis.KindPair, analysis.KindGroups, analysis.KindPanel,
		analysis.KindFactor,
		analysis.KindChoice, analysis.KindRanking} {
		if len(seen[kind]) < 2 {
			t.Errorf("of %s only %v", kind, seen[kind])
		}
	}
	t.Log(seen)
}

// marginOf is a smallest effect that some intervals reach, and some do not.
func marginOf(s *study.Study, seed int) float64 {
	if !s.Question.CollectsRatings() {
		return 0.1
	}
	a, _ := s.Attribute(s.Plan.Attribute)
	return (a.Scale.Max() - a.Scale.Min()) * []float64{0, 0.2, 0.04, 0.1}[seed]
}

// simulatedAnswers have the first samples above the others, by points of a hundred; choices are
// by chance, orders too or, with larger effects, those of most people are the study's.
func simulatedAnswers(s *study.Study, plan *design.Plan, size float64, seed uint64) []analysis.Rating {
	random := rand.New(rand.NewPCG(seed, 3))
	if !s.Question.CollectsRatings() {
		answers := calibrate.Answers(s, plan, seed, random)
		for i := range answers {
			agreed := s.Question.Response() == study.RankAll && answers[i].Assessor[len(answers[i].Assessor)-1] > '3'
			if agreed && size > 6 {
				answers[i].Value = 1 + float64(slices.IndexFunc(s.Samples, func(x study.Sample) bool {
					return x.ID == answers[i].Sample
				}))
			}
		}
		return answers
	}
	truth := analysis.Truth{}
	for _, a := range s.Attributes {
		span := (a.Scale.Max() - a.Scale.Min()) / 100
		effects := map[study.SampleID]float64{}
		for i, x := range s.Samples {
			if i < (len(s.Samples)+1)/2 {
				effects[x.ID] = size * span
			}
		}
		truth[a.ID] = analysis.TrueAttribute{Mean: a.Scale.Min() + 30*span, Effects: effects, AssessorSD: 9 * span,
			SampleSD: 5 * span, RatingSD: 6 * span}
	}
	return analysis.Simulate(s, plan, truth, seed)
}

// byTable is the verdict that the table of the help page on files gives.
func byTable(s *study.Study, f analysis.Finding) analysis.VerdictCode {
	margin, found := f.Verdict.Margin, f.Verdict.Against || f.TestOfDifference().Deciding() < s.Plan.Alpha
	beyond, inside := false, margin > 0
	far := func(ci stats.Interval, even float64) bool {
		return margin > 0 && (ci.Lo-even >= margin || ci.Hi-even <= -margin)
	}
	near := func(ci stats.Interval, even float64) bool {
		return ci.Level > 0 && ci.Lo-even > -margin && ci.Hi-even < margin
	}
	switch {
	case f.Kind == analysis.KindPanel:
		for _, p := range f.Panel.Pairs {
			beyond, inside = beyond || far(p.Adjusted, 0), inside && near(p.EquivalenceCI, 0)
		}
		inside = inside && len(f.Panel.Pairs) > 0
	case f.Kind == analysis.KindRanking:
		for _, p := range f.Ranking.Pairs {
			beyond, inside = beyond || far(p.Adjusted, 0.5), inside && near(p.EquivalenceCI, 0.5)
		}
	case f.Kind == analysis.KindFactor && !f.Factor.Contrast:
		inside = false
	default:
		ci := f.Stated()
		if f.Verdict.Sameness {
			ci = f.CI
		}
		beyond, inside = far(ci, f.Choice.Chance), inside && near(f.EquivalenceCI, f.Choice.Chance)
	}
	fewest, n := analysis.Fewest(s.Plan.Alpha), f.N
	if f.Kind == analysis.KindGroups {
		fewest, n = analysis.FewestInGroup(s.Plan.Alpha), min(f.Groups.Ns[0], f.Groups.Ns[1])
	}
	if p := f.Choice.Preferred; p != nil {
		n = p.First + p.Second + p.Split
	}
	switch {
	case n < fewest:
		return analysis.TooFew
	case f.Verdict.Sameness && inside:
		return analysis.Alike
	case found && beyond:
		return analysis.DifferentAct
	case found && inside:
		return analysis.DifferentSmall
	case found:
		return analysis.DifferentSizeOpen
	case inside:
		return analysis.Alike
	}
	return analysis.Open
}
