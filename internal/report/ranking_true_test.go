package report_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// rankedCase is a study of random orders by up to 60 people, with what its report says.
func rankedCase(t *testing.T, seed uint64) (*study.Study, *analysis.Result, report.Page) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 5))
	k := 3 + random.IntN(6)
	s := panelOf(k)
	s.Question, s.Attributes, s.Languages = study.RankingByLiking, nil, []string{"en"}
	s.Plan = study.AnalysisPlan{Sides: study.TwoSided, Alpha: 0.05,
		SmallestEffect: []float64{0, 0.6, 0.75, 1}[random.IntN(4)]}
	if random.IntN(2) == 0 {
		s.Question, s.Attributes = study.RankingByAttribute, []study.Attribute{{ID: "salt", Ask: "The saltiest first."}}
	}
	if seed%3 == 0 {
		for _, x := range s.Samples {
			s.Plan.Expected = append(s.Plan.Expected, x.ID)
		}
	}
	steep := 2 * random.Float64()
	var answers []analysis.Rating
	for i := range 1 + random.IntN(60) {
		seen := make([]float64, k)
		for j := range seen {
			seen[j] = random.NormFloat64() - steep*float64(j)/float64(k)
		}
		if seed%5 == 0 { // everybody the same
			for j := range seen {
				seen[j] = float64(j)
			}
		}
		served := random.Perm(k)
		for j, x := range s.Samples {
			place := 1.
			for _, v := range seen {
				if v > seen[j] {
					place++
				}
			}
			answers = append(answers, analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: 1, Position: served[j] + 1,
				Sample:    x.ID,
				Attribute: study.RankAnswer, Value: place})
		}
	}
	r := analyse(t, s, answers)
	return s, r, report.Build(s, r, report.Options{})
}

// TestOrdersAreDrawnAndToldAsTheyAre: in each line of the figure stands everybody once, at
// their place; every sentence agrees with the numbers that it speaks of.
func TestOrdersAreDrawnAndToldAsTheyAre(t *testing.T) {
	codes := map[analysis.VerdictCode]bool{}
	for seed := range uint64(200) {
		s, r, page := rankedCase(t, seed)
		f := r.Findings[0]
		codes[f.Verdict.Code] = true
		where := fmt.Sprintf("seed %d (%s)", seed, f.Verdict.Code)
		o := optionOf(t, page.Figures[0])
		k := len(s.Samples)
		drawn := map[float64]map[int]int{}
		for _, line := range o.Series {
			for _, d := range line.Data {
				if !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
					t.Errorf("%s: %v lies beyond the axes", where, d.Value)
				}
				if n, err := strconv.Atoi(line.Name); err == nil {
					if drawn[d.Value[1]] == nil {
						drawn[d.Value[1]] = map[int]int{}
					}
					drawn[d.Value[1]][int(d.Value[0])] += n
				}
			}
		}
		means := o.named("mean")
		for line, places := range drawn {
			label := o.YAxis[0].Data[int(line)+1]
			for _, x := range f.Ranking.Samples {
				if analysis.Label(s, x.Sample) != label {
					continue
				}
				all := 0
				for i, n := range x.At {
					all += n
					if places[i+1] != n {
						t.Errorf("%s: %s at place %d: %d drawn, %d people", where, label, i+1, places[i+1], n)
					}
				}
				if all != f.N {
					t.Errorf("%s: %d of %d people", where, all, f.N)
				}
			}
		}
		if len(drawn) != k || len(means) != k {
			t.Errorf("%s: %d lines and %d means of %d samples", where, len(drawn), len(means), k)
		}
		checkOrderWords(t, where, s, f, page)
		checkFirstLines(t, page)
	}
	for _, code := range []analysis.VerdictCode{analysis.TooFew, analysis.DifferentAct, analysis.DifferentSizeOpen,
		analysis.Open} {
		if !codes[code] {
			t.Errorf("no case has the verdict %s", code)
		}
	}
}

func checkOrderWords(t *testing.T, where string, s *study.Study, f analysis.Finding, page report.Page) {
	t.Helper()
	text := strings.Join(page.Verdict, " ")
	apart := 0
	for _, p := range f.Ranking.Pairs {
		if p.Before+p.After != f.N {
			t.Errorf("%s: %d and %d are not %d", where, p.Before, p.After, f.N)
		}
		if p.Test.PAdjusted >= 0.05 || !f.Verdict.Different() {
			continue
		}
		apart++
		first, second, n := p.First, p.Second, p.Before
		if p.After > p.Before {
			first, second, n = p.Second, p.First, p.After
		}
		said := fmt.Sprintf("%s before %s (%d of %d)", analysis.Label(s, first), analysis.Label(s, second), n, f.N)
		if len(f.Ranking.Pairs) <= 6 && !strings.Contains(text, said) {
			t.Errorf("%s: %q is not said in %q", where, said, text)
		}
	}
	if f.Verdict.Different() && apart == 0 && !strings.Contains(text, "No single pair is told apart") {
		t.Errorf("%s: no pair is told apart, and it says %q", where, text)
	}
	if strings.Contains(text, "Everybody puts") != (f.Verdict.Different() && everybody(f)) {
		t.Errorf("%s: %q", where, text)
	}
	if ordered := len(s.Plan.Expected) > 0 && f.Verdict.Code != analysis.TooFew; ordered !=
		strings.Contains(text, "the expected order") {
		t.Errorf("%s: expected %v, and it says %q", where, s.Plan.Expected, text)
	}
	if rows := page.Choices; len(rows) != 1+len(f.Ranking.Pairs) {
		t.Errorf("%s: %d rows", where, len(rows))
	}
}

// everybody reports whether all put the first of all before the last.
func everybody(f analysis.Finding) bool {
	first, last := f.Ranking.Samples[0], f.Ranking.Samples[0]
	for _, x := range f.Ranking.Samples {
		if x.Sum < first.Sum {
			first = x
		}
		if x.Sum >= last.Sum {
			last = x
		}
	}
	for _, p := range f.Ranking.Pairs {
		if p.First == first.Sample && p.Second == last.Sample && p.Before == f.N ||
			p.Second == first.Sample && p.First == last.Sample && p.After == f.N {
			return true
		}
	}
	return false
}
