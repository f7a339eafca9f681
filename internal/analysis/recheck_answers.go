package analysis

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// recheckAnswers reckons what was found of choices and orders in other ways: by the test
// beside the planned one, by the first answer of each where somebody answered more than
// once, without whoever moves it most, and without those of each breach.
func recheckAnswers(s *study.Study, find finder, answers []Rating, r *Result) error {
	if s.Question.CollectsRatings() && !s.Question.Kind().OneDish || len(r.Findings) == 0 {
		return nil
	}
	f := &r.Findings[0]
	if f.Role != Primary || f.Verdict.Code == TooFew || math.IsNaN(f.Test.P) {
		return nil
	}
	even := f.Choice.Chance
	if f.Kind == KindRanking {
		even = evenShare
	}
	level, beside := s.Plan.Alpha, f.Also
	if t := f.Choice.Told; t != nil && t.Early != nil { // without somebody it would have ended elsewhere
		return nil
	} else if t != nil && t.Alike != nil { // what stands beside answers another question
		level, beside = s.Plan.Beta, nil
	}
	x := answered{s, find, answers, f}
	f.Value, _ = x.valueOf(f)
	for _, t := range beside {
		f.reckoned(Recheck{Method: t.Method, What: t.Name(), N: f.N, Value: math.NaN(),
			CI: stats.NoInterval(f.CI.Level),
			P:  t.P, Lean: signOf(f.Value - even)}, level, even)
	}
	for _, w := range x.ways(s, marksOf(answers, sayTheSame(s, answers))) {
		again, err := x.again(w)
		if err != nil {
			return fmt.Errorf("%s: %w", w.what, err)
		}
		if again.N > 0 {
			f.reckoned(again, level, even)
		}
	}
	if f.undirected() || f.Kind == KindAboutRight { // it has no single estimate
		f.Value = math.NaN()
	}
	return nil
}

// answered is a finding of choices or of an order, with what it was found from.
type answered struct {
	s       *study.Study
	find    finder
	answers []Rating
	f       *Finding
}

// valueOf is that of a finding with its interval: of an order the share who put the two
// that lie furthest apart in the finding first the one, then the other; of words
// [Finding.WidestWord]; of one dish about right the drop that is surest in the finding.
func (x answered) valueOf(g *Finding) (float64, stats.Interval) {
	if g.Kind == KindWords {
		return x.f.widestIn(g)
	}
	if g.Kind == KindAboutRight {
		of, side, _ := x.f.SurestDrop()
		return g.DropOn(of, side)
	}
	if g.Kind != KindRanking {
		return g.Value, g.CI
	}
	first, second, _ := x.f.FurthestApart()
	for _, p := range g.Ranking.Pairs {
		if p.First == first && p.Second == second {
			return p.Share, p.CI
		}
	}
	return math.NaN(), stats.NoInterval(g.CI.Level)
}

// aside is what an analysis of some of the answers takes, in words.
type aside struct {
	what string
	out  []string // assessors whose answers it leaves out
	keep func(i int, r Rating) bool
}

func (x answered) ways(s *study.Study, all []marks) (ways []aside) {
	people := assessorsOf(x.answers)
	if x.f.N > len(people) {
		first := map[string]turnKey{}
		for _, r := range x.answers {
			k := turnOf(s, r)
			if had, ok := first[r.Assessor]; !ok || k.number < had.number {
				first[r.Assessor] = k
			}
		}
		ways = append(ways, aside{what: "by the first answer of each alone",
			keep: func(_ int, r Rating) bool { return turnOf(s, r) == first[r.Assessor] }})
	}
	leave := func(what string, out []string) {
		ways = append(ways, aside{what, out,
			func(_ int, r Rating) bool { return !slices.Contains(out, r.Assessor) }})
	}
	if who, how := x.mostInfluential(people); who != "" {
		leave(fmt.Sprintf("without assessor %s, %s", who, how), []string{who})
	}
	for _, b := range breaches {
		if out := marked(x.answers, all, b.of); len(out) > 0 && len(out) <= len(people)-2 {
			leave(b.withoutThose(s), out)
		}
	}
	return ways
}

// mostInfluential is who is furthest from the others in an order. Of choices it is who
// speaks most for what was found: the first of several of whom the same is so.
func (x answered) mostInfluential(people []string) (who, how string) {
	if x.f.Kind == KindWords {
		return mostUnlikeTicks(x.s, x.answers), "whose ticks are furthest from the others"
	}
	if x.f.Kind == KindAboutRight {
		return x.movesDropMost(), "who moves it as far as anyone"
	}
	if x.f.Kind == KindRanking {
		var each []Rated
		for _, r := range x.answers {
			each = append(each, Rated{r.Assessor, r.Sample, r.Value})
		}
		return furthest(profiles(each, x.f.Comparison)), "whose order is furthest from the others"
	}
	most, tried := -1.0, map[string]bool{}
	for _, one := range people {
		said := x.answersOf(one)
		if tried[said] {
			continue
		}
		tried[said] = true
		again, err := x.again(aside{keep: func(_ int, r Rating) bool { return r.Assessor != one }})
		if by := math.Abs(again.Value - x.f.Value); err == nil && by > most+1e-12 {
			who, most = one, by
		}
	}
	return who, "who moves it as far as anyone"
}

// answersOf spells what somebody answered of which samples: whoever said the same moves what
// is found as far.
func (x answered) answersOf(who string) string {
	var all []string
	for _, r := range x.answers {
		if r.Assessor == who {
			all = append(all, fmt.Sprintln(turnOf(x.s, r).number, r.Sample, r.Reference, r.Value))
		}
	}
	slices.Sort(all)
	return strings.Join(all, "")
}

// again finds anew from some of the answers.
func (x answered) again(w aside) (Recheck, error) {
	var rest []Rating
	for i, r := range x.answers {
		if w.keep(i, r) {
			rest = append(rest, r)
		}
	}
	if len(rest) == 0 {
		return Recheck{}, nil
	}
	found := &Result{Assessors: len(assessorsOf(rest))}
	if err := x.find(x.s, rest, nil, newLeftOut(nil), found); err != nil {
		return Recheck{}, err
	}
	g := &found.Findings[0]
	value, ci := x.valueOf(g)
	if t := g.Choice.Told; t != nil && t.Alike != nil { // the limit that the plan looks at
		ci = g.EquivalenceCI
	}
	return Recheck{What: w.what, Without: w.out, N: g.N, Value: value, CI: ci, P: g.Test.P}, nil
}
