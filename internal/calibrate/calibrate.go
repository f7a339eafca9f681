package calibrate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/numeric"
	"cloche/internal/study"
)

// Rate is how often something happened in simulated studies, and how often it should.
type Rate struct {
	What       string
	Stated     float64
	AtMost     bool // less often is no fault; of an interval, more often is none
	Hits, Of   int
	OfInterval bool // the rate is that of intervals that hold the truth
}

// Share is the rate, NaN when there was nothing to count.
func (r Rate) Share() float64 { return float64(r.Hits) / float64(r.Of) }

// CI is the interval of what simulating leaves open, 95 %.
func (r Rate) CI() stats.Interval { return choice.WilsonInterval(r.Hits, r.Of, stats.DefaultLevel) }

// Kept reports whether the rate is as stated, within four standard errors: of so many
// rates as a full run has, one is beyond them by chance once in a thousand runs.
func (r Rate) Kept() bool {
	off := r.Share() - r.Stated
	if r.OfInterval {
		off = -off
	}
	margin := 4 * math.Sqrt(r.Stated*(1-r.Stated)/float64(r.Of))
	return off <= margin && (r.AtMost || -off <= margin)
}

// What rates are of.
const (
	OfPrimary  = "the primary finding finds something"
	OfOthers   = "any other comparison of two does, adjusted"
	OfPanels   = "any comparison of all samples does, adjusted"
	OfPairs    = "any pair within the first comparison of all does, adjusted"
	OfFactors  = "any other factor or contrast does, adjusted"
	OfDrops    = "any drop in liking of those who say too little or too much does, adjusted"
	OfMoves    = "any move from one answer about right to another does, adjusted"
	OfWords    = "any single word does, adjusted"
	OfPeople   = "people are found to differ in what samples do to them"
	OfInterval = "the interval of the primary finding holds the truth"

	OfShift = "the interval of the primary finding holds a true difference, wherever tasting stopped"

	OfWorth     = "what a name may be worth, bounded or not, holds what it is worth"
	OfUnbounded = "the amounts are not told apart: what the name is worth has no two ends"

	OfWay      = "the share of the way that a name goes to what was expected is held, bounded or not"
	OfNoWay    = "what is expected is not told from what is tasted blind: that share has no two ends"
	OfWayFound = "a name that goes none of the way is said to draw the rating"

	OfRecord = "what four evenings that truly differ say together holds the mean of all evenings"
	OfNext   = "what they say of one evening more holds what is true of it"
)

// rates are counted in this order.
var counted = []string{OfPrimary, OfOthers, OfPanels, OfPairs, OfFactors, OfDrops, OfMoves, OfWords,
	OfPeople, OfInterval, OfShift, OfWorth, OfUnbounded, OfWay, OfNoWay, OfWayFound, OfRecord, OfNext}

// plansEvery is how many studies share a serving plan: drawing one takes longer than
// analysing it where blocks are incomplete.
const plansEvery = 25

// Run simulates a study and returns its rates: those that its plan has. done, unless it is
// nil, is called after every few studies with how many are done, by one goroutine at a
// time or more. Errors: those of [design.Draw] and [analysis.Analyse].
func Run(s *study.Study, studies int, seed uint64, done func(studies int)) ([]Rate, error) {
	batches := (studies + plansEvery - 1) / plansEvery
	tallies, errs := make([]tally, batches), make([]error, batches)
	numeric.InParallel(batches, func(b int) {
		n := min(plansEvery, studies-b*plansEvery)
		tallies[b], errs[b] = play(s, n, seed+uint64(b)*plansEvery)
		if done != nil {
			done(n)
		}
	})
	all := tally{}
	for b, t := range tallies {
		if errs[b] != nil {
			return nil, errs[b]
		}
		for what, c := range t {
			all.add(what, c[0], c[1])
		}
	}
	return all.rates(s), nil
}

// tally holds hits and trials of what is counted.
type tally map[string][2]int

func (t tally) add(what string, hits, of int) {
	c := t[what]
	t[what] = [2]int{c[0] + hits, c[1] + of}
}

func (t tally) count(what string, hit bool) {
	hits := 0
	if hit {
		hits = 1
	}
	t.add(what, hits, 1)
}

func (t tally) rates(s *study.Study) []Rate {
	var all []Rate
	for _, what := range counted {
		c, ok := t[what]
		if !ok {
			continue
		}
		r := Rate{What: what, Stated: risk(s), Hits: c[0], Of: c[1], AtMost: what != OfPrimary || inSteps(s)}
		switch what {
		case OfWay:
			r.Stated, r.AtMost, r.OfInterval = s.Plan.Level(), false, true
		case OfNoWay:
			r.Stated, r.AtMost = noWay(s), false
		case OfWayFound:
			r.Stated = s.Plan.Alpha
		case OfInterval, OfWorth:
			r.Stated, r.AtMost, r.OfInterval = s.Plan.Level(), inSteps(s), true
		case OfShift: // the interval after looks is a little wide, and that of evidence holds at all moments
			r.Stated, r.AtMost, r.OfInterval = s.Plan.Level(), true, true
		case OfRecord, OfNext: // with a prior, and never narrower than Hartung and Knapp
			r.Stated, r.AtMost, r.OfInterval = stats.DefaultLevel, true, true
		case OfUnbounded:
			r.Stated, r.AtMost = unbounded(s), false
		}
		all = append(all, r)
	}
	return all
}

// risk is that of the primary finding: of calling alike where the plan asks just that.
func risk(s *study.Study) float64 {
	if s.Question.Kind().Tells && s.Plan.Test == study.Equivalence {
		return s.Plan.Beta
	}
	return s.Plan.Alpha
}

// inSteps reports whether the results of the primary test go in steps, so that none of
// them reaches the level exactly, or is smaller for another reason.
func inSteps(s *study.Study) bool {
	if s.Plan.Evidence != "" { // whose risk is that of all moments together
		return true
	}
	switch s.Plan.Test {
	case study.SignedRank, study.RankSum, study.Friedman, study.RMAnova, study.Lottery:
		return true
	case study.Equivalence: // the two tests err together at most as often as one
		return true
	}
	a, _ := s.Attribute(s.Plan.Attribute)
	return !s.Question.CollectsRatings() || a.Scale.Kind != study.Line
}

func play(s *study.Study, studies int, seed uint64) (tally, error) {
	t := tally{}
	plan, err := draw(s, seed)
	if err != nil {
		return nil, fmt.Errorf("draw the plan of a simulated study: %w", err)
	}
	for i := range studies {
		random := rand.New(rand.NewPCG(seed+uint64(i), 12))
		dealt := deal(plan, random)
		answers := Answers(s, dealt, seed+uint64(i), random)
		r, err := analysis.Analyse(s, answers, Knowing(s, dealt))
		if err != nil {
			return nil, fmt.Errorf("analyse a simulated study: %w", err)
		}
		t.tallyOf(s, r)
		if err := t.countWorth(s, dealt, seed+uint64(i)); err != nil {
			return nil, fmt.Errorf("analyse a simulated study of what a name is worth: %w", err)
		}
		if err := t.countWays(s, dealt, uint64(i), seed+uint64(i)); err != nil {
			return nil, fmt.Errorf("analyse a simulated study of how far a name goes: %w", err)
		}
		if err := t.countShift(s, dealt, seed+uint64(i)); err != nil {
			return nil, fmt.Errorf("analyse a simulated study that may stop early: %w", err)
		}
		if err := t.countRecord(s, dealt, seed+uint64(i)); err != nil {
			return nil, fmt.Errorf("analyse a simulated record: %w", err)
		}
	}
	return t, nil
}

// Knowing are the options of an analysis that knows the plan where its test needs it;
// elsewhere the lottery is a check that takes longer than all the rest.
func Knowing(s *study.Study, plan *design.Plan) (o analysis.Options) {
	if s.Plan.Test == study.Lottery {
		o.Lottery = &analysis.Lottery{Plan: plan}
	}
	return o
}

// tallyOf counts what one study found.
func (t tally) tallyOf(s *study.Study, r *analysis.Result) {
	found := map[string]bool{}
	for _, f := range r.Findings {
		if f.Kind == analysis.KindPanel && len(f.Panel.Pairs) > 0 && f.Attribute == s.Plan.Attribute {
			found[OfPairs] = slices.ContainsFunc(f.Panel.Pairs, func(p analysis.PanelPair) bool {
				return p.Test.PAdjusted < s.Plan.Alpha
			})
		}
		if f.People != nil {
			found[OfPeople] = f.People.Differ(s.Plan.Alpha)
		}
		if f.Kind == analysis.KindWords {
			found[OfWords] = slices.ContainsFunc(f.Words.Words, func(w analysis.WordFinding) bool {
				return w.Test.PAdjusted < s.Plan.Alpha
			})
		}
		if f.Role == analysis.Primary {
			t.count(OfPrimary, analysis.FindsAsPlanned(s, f))
			t.cover(s, f)
			continue
		}
		if f.Kind == analysis.KindAboutRight {
			found[OfDrops], found[OfMoves] = findsAboutRight(s, f)
			continue
		}
		if f.Kind == analysis.KindDose && f.Attribute == s.Plan.Attribute { // which rises where a name is laid on it
			continue
		}
		what := familyOf(f.Kind)
		found[what] = found[what] || f.Test.Deciding() < s.Plan.Alpha
	}
	for what, hit := range found {
		t.count(what, hit)
	}
}

// findsAboutRight reports whether anybody who says too little or too much is found to like a
// sample less or more, and whether people are found to move between samples.
func findsAboutRight(s *study.Study, f analysis.Finding) (drops, moves bool) {
	for _, x := range f.AboutRight.Samples {
		drops = drops || x.Low.Test.Deciding() < s.Plan.Alpha || x.High.Test.Deciding() < s.Plan.Alpha
	}
	for _, m := range f.AboutRight.Moves {
		moves = moves || m.Test.Deciding() < s.Plan.Alpha
	}
	return drops, moves
}

// tells is the share of the people who truly tell where right answers are to err most.
func tells(s *study.Study) float64 {
	if s.Plan.Test == study.Equivalence {
		return s.Plan.SmallestEffect
	}
	return 0
}

func familyOf(k analysis.Kind) string {
	switch k {
	case analysis.KindPair, analysis.KindGroups:
		return OfOthers
	case analysis.KindPanel:
		return OfPanels
	}
	return OfFactors
}

// cover counts whether the interval of the primary finding holds the truth: of all samples,
// that of the first pair, on its own.
func (t tally) cover(s *study.Study, f analysis.Finding) {
	_, difference := truth(s)
	if s.Plan.StopEarly { // whose interval is not adjusted for the stop, and says so
		return
	}
	if f.Kind == analysis.KindNamedDose { // whose set need not be an interval: see [tally.countWorth]
		return
	}
	if f.Kind == analysis.KindThreshold { // there is none where nobody tastes anything
		return
	}
	if f.Kind == analysis.KindPanel {
		if len(f.Panel.Pairs) > 0 && !f.Panel.Pairs[0].CI.Absent() {
			ci := f.Panel.Pairs[0].CI
			t.count(OfInterval, ci.Lo <= 0 && ci.Hi >= 0)
		}
		return
	}
	at := difference
	switch {
	case f.Measure == method.Share || f.Measure == method.RightShare:
		at = f.Choice.Chance + tells(s)*(1-f.Choice.Chance)
	case f.Kind == analysis.KindChoice && f.Measure != method.DPrime:
		return
	}
	if !f.CI.Absent() {
		t.count(OfInterval, f.CI.Lo <= at && at <= f.CI.Hi)
	}
}
