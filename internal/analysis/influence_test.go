package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// influenceCase is a study of two samples, within people or one each, by one of the tests,
// with some people at the ends of the scale and marks on some answers.
func influenceCase(seed uint64) (*study.Study, []analysis.Rating) {
	random := rand.New(rand.NewPCG(seed, 1971))
	s := panelOf(2)
	if seed%3 == 0 {
		s.Attributes[0].Scale = study.Scale{Kind: study.Categories, Labels: []string{"no", "some", "much", "very"}}
	}
	scale := s.Attributes[0].Scale
	groups := seed%2 == 1
	tests := []study.Test{study.PairedT, study.SignedRank, study.Equivalence, study.Ordinal}
	if groups {
		s.Serving.Design = study.One
		tests = []study.Test{study.WelchT, study.RankSum, study.Equivalence}
		if seed%4 == 1 {
			s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}}}
		}
	}
	if s.Plan.Test = tests[random.IntN(len(tests))]; s.Plan.Test == study.Equivalence {
		s.Plan.SmallestEffect = (scale.Max() - scale.Min()) / 5
	}
	var all []analysis.Rating
	for i := range 10 + random.IntN(20) {
		for k, x := range s.Samples {
			if groups && i%2 != k {
				continue
			}
			at := math.Round(random.Float64() * (scale.Max() - scale.Min()))
			r := analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: 1, Sample: x.ID, Attribute: "salt",
				Value: scale.Min() + at, WrongPlate: random.IntN(8) == 0, OutOfTurn: random.IntN(8) == 0,
				Seconds: 1 + 1500*random.Float64()}
			if !groups {
				r.Position = 1 + (i+k)%2
			}
			if len(s.Serving.Strata) > 0 {
				r.Stratum = []string{"regular", "new"}[i/2%3%2]
			}
			all = append(all, r)
		}
	}
	return s, all
}

func ratingsWithout(ratings []analysis.Rating, who string) []analysis.Rating {
	return slices.DeleteFunc(slices.Clone(ratings), func(r analysis.Rating) bool { return r.Assessor == who })
}

// The assessor who is said to move the difference most does: analysed without each in turn,
// nobody else moves it farther. Nobody is left out of the finding itself, whatever is odd
// about their answers.
func TestWhoMovesTheDifferenceMost(t *testing.T) {
	stated, means := 0, 0
	for seed := range uint64(36) {
		s, ratings := influenceCase(seed)
		f := analyse(t, s, ratings).Findings[0]
		people := map[string]bool{}
		for _, r := range ratings {
			people[r.Assessor] = true
		}
		if f.N != len(people) || len(f.Excluded) > 0 {
			t.Errorf("case %d: %d of %d people count: %v", seed, f.N, len(people), f.Excluded)
		}
		at := slices.IndexFunc(f.Rechecks, func(x analysis.Recheck) bool {
			return strings.HasPrefix(x.What, "without assessor ")
		})
		if at < 0 {
			t.Fatalf("case %d: nobody named: %+v", seed, f.Rechecks)
		}
		who, how, _ := strings.Cut(strings.TrimPrefix(f.Rechecks[at].What, "without assessor "), ", who moves the ")
		value := func(rest []analysis.Rating) float64 { return analyse(t, s, rest).Findings[0].Value }
		switch how {
		case "difference most":
			stated++
		case "difference of the means most":
			means++
			byMeans := *s
			if byMeans.Plan.Test = study.PairedT; s.Serving.Design == study.One {
				byMeans.Plan.Test = study.WelchT
			}
			value = func(rest []analysis.Rating) float64 { return analyse(t, &byMeans, rest).Findings[0].Value }
		default:
			t.Fatalf("case %d says %q", seed, f.Rechecks[at].What)
		}
		whole, moved := value(ratings), map[string]float64{}
		for one := range people {
			moved[one] = math.Abs(value(ratingsWithout(ratings, one)) - whole)
		}
		for one, by := range moved {
			if by > moved[who]+1e-9 {
				t.Errorf("case %d, %s: assessor %s is named and moves it by %g, %s moves it by %g", seed, s.Plan.Test,
					who,
					moved[who], one, by)
			}
		}
		if got := value(ratingsWithout(ratings, who)); how == "difference most" &&
			math.Abs(f.Rechecks[at].Value-got) > 1e-9 {
			t.Errorf("case %d: %g without assessor %s, an analysis of the others has %g", seed, f.Rechecks[at].Value,
				who,
				got)
		}
	}
	if stated < 10 || means < 6 {
		t.Errorf("only %d of the stated difference and %d of the means", stated, means)
	}
}
