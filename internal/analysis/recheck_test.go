package analysis_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// What stands beside the primary finding is what an analysis without those people finds,
// and nobody else moves the difference further. Within people and between groups.
func TestRechecksAreAnalysesOfTheRest(t *testing.T) {
	bareSeen := 0
	defer func() {
		if bareSeen == 0 {
			t.Error("never without those whose plate nobody noted")
		}
	}()
	rapid.Check(t, func(t *rapid.T) {
		s, a, b := drawPlan(t)
		ratings := paired(a, b)
		if rapid.Bool().Draw(t, "groups") {
			test := rapid.SampledFrom([]study.Test{study.WelchT, study.RankSum}).Draw(t, "test of groups")
			s.Serving.Design, s.Plan.Test = study.One, test
			ratings = inGroups(a, b)
		}
		revealed := rapid.IntRange(0, len(ratings)-1).Draw(t, "revealed")
		ratings[revealed].Revealed = true
		bare := rapid.IntRange(0, len(ratings)-1).Draw(t, "not set down")
		ratings[bare].NotSetDown = true
		f := mustAnalyse(t, s, ratings).Findings[0]
		if f.Verdict.Code == analysis.TooFew {
			if len(f.Rechecks) > 0 {
				t.Errorf("too few, and rechecked: %+v", f.Rechecks)
			}
			return
		}
		for _, r := range f.Rechecks {
			switch {
			case strings.HasPrefix(r.What, "without assessor "):
				who, _, _ := strings.Cut(strings.TrimPrefix(r.What, "without assessor "), ",")
				sameAs(t, s, without(ratings, who), r)
				checkInfluence(t, ratings, f, who)
			case strings.HasPrefix(r.What, "without those with a plate"):
				sameAs(t, s, without(ratings, ratings[bare].Assessor), r)
				bareSeen++
			case strings.HasPrefix(r.What, "without those"):
				sameAs(t, s, without(ratings, ratings[revealed].Assessor), r)
			}
			found, again := f.Test.P < s.Plan.Alpha, r.P < s.Plan.Alpha
			turned := found && !f.Verdict.Sameness && (r.Value > 0) != (f.Value > 0)
			if agrees := found == again && !turned; agrees != r.Agrees && r.Value != 0 && f.Value != 0 {
				t.Errorf("p %g and %g, differences %g and %g: agrees %t", f.Test.P, r.P, f.Value, r.Value, r.Agrees)
			}
		}
		if len(f.Rechecks) < 2 {
			t.Errorf("only %+v", f.Rechecks)
		}
	})
}

func without(ratings []analysis.Rating, who string) (rest []analysis.Rating) {
	for _, r := range ratings {
		if r.Assessor != who {
			rest = append(rest, r)
		}
	}
	return rest
}

func sameAs(t *rapid.T, s *study.Study, rest []analysis.Rating, r analysis.Recheck) {
	f := mustAnalyse(t, s, rest).Findings[0]
	if f.N != r.N || !sameOrBothNaN(r.Value, f.Value) || !sameOrBothNaN(r.P, f.Test.P) ||
		!sameOrBothNaN(r.CI.Lo, f.Stated().Lo) && s.Plan.Test != study.Equivalence {
		t.Errorf("%s: %+v, an analysis of the rest has %d people, %g, %v, p %g", r.What, r, f.N, f.Value, f.CI,
			f.Test.P)
	}
}

// checkInfluence leaves everybody out in turn.
func checkInfluence(t *rapid.T, ratings []analysis.Rating, f analysis.Finding, named string) {
	means := func(ratings []analysis.Rating) float64 {
		sum, n := map[study.SampleID]float64{}, map[study.SampleID]float64{}
		for _, r := range ratings {
			sum[r.Sample] += r.Value
			n[r.Sample]++
		}
		return sum["A"]/n["A"] - sum["B"]/n["B"]
	}
	all, most := means(ratings), 0.0
	for _, r := range ratings {
		most = max(most, math.Abs(means(without(ratings, r.Assessor))-all))
	}
	if got := math.Abs(means(without(ratings, named)) - all); !near(got, most, 1e-9, 1e-9) {
		t.Errorf("assessor %s moves the difference by %g, another by %g of %s", named, got, most, fmt.Sprint(f.Value))
	}
}
