package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/ranks"
	"cloche/internal/study"
)

// WarnRankPosition is the code of the warning that the place on the tray counted too.
const WarnRankPosition = "rank-by-position"

// RankingPart is what only an order of all samples has.
type RankingPart struct {
	Samples []RankedSample // in the order of the study
	Pairs   []RankedPair   // all of them, the exact tests adjusted together by Holm's method
	W       float64        // Kendall's coefficient of concordance, from 0 to 1: how far people agree
	// LeastDifference is how far two rank sums have to lie apart, each pair on its own at
	// 5 %, by the normal distribution; NaN where there is no test.
	LeastDifference float64
}

// RankedSample is where people put a sample.
type RankedSample struct {
	Sample study.SampleID
	At     []int // people who put it at each place, the first place first
	Sum    int   // of the places; low is early in the order
	Mean   float64
	// Worth is the chance that somebody puts it before all others, by the model of Plackett and
	// Luce; NaN where its warning says why.
	Worth Effect
}

// RankedPair says who put which of two samples before the other.
type RankedPair struct {
	First, Second study.SampleID
	Before, After int            // people who put First before Second, and after it
	Share         float64        // Before of all
	CI            stats.Interval // of the share, on its own
	Adjusted      stats.Interval // with all pairs, by Bonferroni's inequality
	EquivalenceCI stats.Interval // of two one-sided tests at alpha
	Test          Test           // exact binomial test of Before, adjusted with all pairs
	Sums          Test           // of the two rank sums by Conover, adjusted with all pairs
}

// findRanking finds whether people agree on an order at all (Friedman's test, ISO 8587),
// and of each pair of samples how many put the one before the other: an exact binomial
// test that rests on no other sample, adjusted for all pairs by Holm's method.
func findRanking(s *study.Study, answers []Rating, _ []Expectation, _ *leftOut, r *Result) error {
	turns, err := choiceTurns(s, answers)
	if err != nil {
		return err
	}
	if second, twice := secondOrder(turns); twice {
		return fmt.Errorf("%w: assessor %s gives two orders", ErrRating, second.assessor)
	}
	f := Finding{Kind: KindRanking, Role: Primary, N: len(turns), Estimate: Estimate{Value: math.NaN(),
		CI: stats.NoInterval(s.Plan.Level())}}
	for _, x := range s.Samples {
		f.Comparison = append(f.Comparison, x.ID)
	}
	if s.Question.Kind().Attributes == study.OneNamed {
		f.Attribute = s.Attributes[0].ID
	}
	places := placesOf(s, turns)
	if err := f.testOrder(places); err != nil {
		return err
	}
	if err := f.testExpectedOrder(s, places); err != nil {
		return err
	}
	f.countPlaces(places)
	if err := f.fitWorths(s.Plan.Level(), places); err != nil {
		return err
	}
	if err := f.testRankedPairs(s.Plan, places); err != nil {
		return err
	}
	if err := f.checkRankPosition(s, turns); err != nil {
		return err
	}
	if need := Fewest(s.Plan.Alpha); f.N < need {
		f.warn(warnFewPairs(f.N, need, "put the samples in an order"))
	}
	f.conclude(s.Plan)
	r.Findings = append(r.Findings, f)
	return nil
}

// secondOrder finds a turn of somebody who has one already; turns are by assessor.
func secondOrder(turns []choiceTurn) (choiceTurn, bool) {
	for i, t := range turns {
		if i > 0 && t.assessor == turns[i-1].assessor {
			return t, true
		}
	}
	return choiceTurn{}, false
}

// placesOf are the places that each person gave, samples in the order of the study.
func placesOf(s *study.Study, turns []choiceTurn) [][]float64 {
	at := map[study.SampleID]int{}
	for j, x := range s.Samples {
		at[x.ID] = j
	}
	rows := make([][]float64, len(turns))
	for i, t := range turns {
		rows[i] = make([]float64, len(s.Samples))
		for _, v := range t.servings {
			rows[i][at[v.Sample]] = v.Value
		}
	}
	return rows
}

// testOrder tests whether the samples stand at all places alike: exact for a small panel.
func (f *Finding) testOrder(places [][]float64) error {
	t, err := ranks.Friedman(places)
	if err != nil {
		return err
	}
	f.warnAll(t.Warnings)
	f.Test = Test{Method: method.Friedman, Title: method.Friedman.Title(), Statistic: t.ChiSq, DF: t.DF,
		DF2: math.NaN(), P: t.P, PAdjusted: math.NaN()}
	if !math.IsNaN(t.ExactP) {
		f.Test.P, f.Test.Title = t.ExactP, method.Friedman.Title()+", exact"
	}
	f.Ranking.W, f.Ranking.LeastDifference = t.W, t.NormalLSD
	for _, p := range t.Pairs {
		sums := Test{Method: method.Conover, Title: method.Conover.Title(), Statistic: p.T,
			DF: float64((t.N - 1) * (t.K - 1)), DF2: math.NaN(), P: p.P, PAdjusted: p.PHolm}
		f.Ranking.Pairs = append(f.Ranking.Pairs, RankedPair{First: f.Comparison[p.A], Second: f.Comparison[p.B],
			Sums: sums})
	}
	return nil
}

// testExpectedOrder puts Page's test in the place of Friedman's where the plan says in what
// order the samples are expected: whether places rise along it.
func (f *Finding) testExpectedOrder(s *study.Study, places [][]float64) error {
	if len(s.Plan.Expected) == 0 {
		return nil
	}
	expected := make([][]float64, len(places))
	for i, row := range places {
		for _, id := range s.Plan.Expected {
			expected[i] = append(expected[i], row[slices.Index(f.Comparison, id)])
		}
	}
	t, err := ranks.Page(expected)
	if err != nil {
		return err
	}
	f.Also = []Test{f.Test}
	f.Test = Test{Method: method.Page, Title: method.Page.Title(), Statistic: t.L, DF: math.NaN(), DF2: math.NaN(),
		P: t.P, PAdjusted: math.NaN()}
	if t.Exact {
		f.Test.P, f.Test.Title = t.ExactPGreater, method.Page.Title()+", exact"
	}
	return nil
}

func (f *Finding) countPlaces(places [][]float64) {
	k := len(f.Comparison)
	for j, id := range f.Comparison {
		x := RankedSample{Sample: id, At: make([]int, k)}
		for _, row := range places {
			x.At[int(row[j])-1]++
			x.Sum += int(row[j])
		}
		x.Mean = float64(x.Sum) / float64(len(places))
		f.Ranking.Samples = append(f.Ranking.Samples, x)
	}
}

// fitWorths finds what the samples are worth to people beside their places.
func (f *Finding) fitWorths(level float64, places [][]float64) error {
	if len(places) == 0 {
		for j := range f.Ranking.Samples {
			f.Ranking.Samples[j].Worth = Effect{method.Worth, math.NaN(), stats.NoInterval(level)}
		}
		return nil
	}
	t, err := ranks.Worths(places, level)
	if err != nil {
		return err
	}
	f.warnAll(t.Warnings)
	for j := range f.Ranking.Samples {
		f.Ranking.Samples[j].Worth = Effect{method.Worth, t.Worth[j], t.CI[j]}
	}
	return nil
}

// testRankedPairs counts and tests, of each pair, who put which first.
func (f *Finding) testRankedPairs(plan study.AnalysisPlan, places [][]float64) error {
	pairs := f.Ranking.Pairs[:0]
	var ps []float64
	k := len(f.Comparison)
	m, level := float64(k*(k-1)/2), plan.Level()
	for a := range k {
		for b := a + 1; b < k; b++ {
			p := f.rankedPair(a, b)
			for _, row := range places {
				if row[a] < row[b] {
					p.Before++
				} else {
					p.After++
				}
			}
			n := p.Before + p.After
			t, err := choice.BinomialTest(p.Before, n, 0.5, choice.BinomialTestOptions{Level: level})
			if err != nil {
				return err
			}
			p.Share, p.CI, p.Adjusted = t.Proportion, t.Wilson, choice.WilsonInterval(p.Before, n, 1-plan.Alpha/m)
			if same, ok := f.samenessLevel(plan, 1); ok {
				p.EquivalenceCI = choice.WilsonInterval(p.Before, n, same)
			}
			p.Test = Test{Method: method.Binomial, Title: method.Binomial.Title(), Statistic: float64(p.Before),
				DF: math.NaN(), DF2: math.NaN(), P: t.P, PAdjusted: math.NaN()}
			pairs, ps = append(pairs, p), append(ps, t.P)
		}
	}
	for i, p := range stats.Holm(ps) {
		pairs[i].Test.PAdjusted = p
	}
	f.Ranking.Pairs = pairs
	return nil
}

// rankedPair is the pair of the samples at a and b, with the test of their rank sums where
// there is one.
func (f *Finding) rankedPair(a, b int) RankedPair {
	for _, p := range f.Ranking.Pairs {
		if p.First == f.Comparison[a] && p.Second == f.Comparison[b] {
			return p
		}
	}
	none := math.NaN()
	return RankedPair{First: f.Comparison[a], Second: f.Comparison[b],
		Sums: Test{Method: method.Conover, Title: method.Conover.Title(), Statistic: none, DF: none, DF2: none, P: none,
			PAdjusted: none}}
}

// checkRankPosition tests whether the place in the order goes with the position served.
func (f *Finding) checkRankPosition(s *study.Study, turns []choiceTurn) error {
	var rows [][]float64
	for _, t := range turns {
		row := make([]float64, len(s.Samples))
		for i, v := range t.servings { // by position
			if v.Position == 0 {
				f.warn(warnOrderUnknown())
				return nil
			}
			row[i] = v.Value
		}
		rows = append(rows, row)
	}
	t, err := ranks.Friedman(rows)
	if err != nil {
		return err
	}
	f.Checks = append(f.Checks, Check{Method: method.RankPosition, Title: method.RankPosition.Title(),
		Estimate: math.NaN(), CI: stats.NoInterval(s.Plan.Level()), Statistic: t.ChiSq, DF: t.DF,
		DF2: math.NaN(), P: t.P})
	if t.P < s.Plan.Alpha {
		f.warn(Warning{WarnRankPosition, fmt.Sprintf("the place in the order goes with the position on the tray too "+
			"(%s): orders of serving are balanced, so that this favours no sample, and makes differences harder to see",
			pText(t.P))})
	}
	return nil
}

// judgeRanking gives the verdict on an order, as [Finding.judgePanel] does on means: the
// shares of the pairs stand for a single effect.
func (f *Finding) judgeRanking(plan study.AnalysisPlan) {
	e := evidence{n: f.N, fewest: Fewest(plan.Alpha), found: f.Test.Deciding() < plan.Alpha, inside: true}
	v := Verdict{Margin: f.smallest(plan)}
	for _, p := range f.Ranking.Pairs {
		e.beyond = e.beyond || beyond(fromEven(p.Adjusted, evenShare), v.Margin)
		e.inside = e.inside && inside(fromEven(p.EquivalenceCI, evenShare), v.Margin)
	}
	v.Code = e.code()
	f.Verdict = v
	f.Verdict.Next = f.next(plan)
}

// evenShare is the share who put one sample before another when nobody prefers any.
const evenShare = 0.5

// ordersToFind is [Finding.peopleToFind] of an order.
func (f *Finding) ordersToFind(plan study.AnalysisPlan) int {
	return rankingDesign(len(f.Comparison), evenShare+f.Verdict.Margin, plan.Alpha).beyond(f.N)
}
