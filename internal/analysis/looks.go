package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/looks"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// Codes of warnings of planned looks.
const (
	WarnLookNotPlanned = "look-not-planned"
	WarnFewAtLook      = "few-at-look"
	WarnOthersAtLook   = "others-after-early-stop"
	WarnAfterLook      = "estimate-after-early-look"
	fewestAtLook       = 12
	// as that of a gamma distribution of shape 4; from there on size moves (a choice of ours)
	skewedFrom           = 1.0
	reasonAfterStop      = "rated after the look that decided"
	nothingLeftToSpend   = 37 // in Z: a bound from here on cannot be reached
	fractionBeyondTheEnd = 1
)

var warnOthersAtLook = Warning{WarnOthersAtLook, "tasting stopped as soon as the main comparison was clear: the " +
	"plan of when to stop protects that one alone, and what else is found is told as if nobody had looked"}

// LooksPart is what the looks of a plan came to.
type LooksPart struct {
	Spending study.Spending
	Planned  int       // people
	Taken    []LookNow // the last is where tasting ended
	Stopped  int       // which look was clear enough before the end, from 1; 0 = none
	Later    int       // people who rated after it and do not count
	Plain    Effect    // the mean difference as if there had been one look
}

// LookNow is one look.
type LookNow struct {
	People     int
	Difference float64 // mean
	SE         float64 // of the difference
	T          float64
	P          float64 // of one look at these people, two-sided
	Bound      looks.Bound
	Critical   float64 // |t| from which on tasting stops; +Inf where nothing is left to spend
	Reached    bool
}

// LookPlanned is a look of a plan that has not been taken, as it comes if as many as planned
// have rated.
type LookPlanned struct {
	People   int
	Bound    looks.Bound
	Critical float64
}

// PlannedLooks are the looks of a plan, the one at the end last; none where it has no other.
func PlannedLooks(s *study.Study) ([]LookPlanned, error) {
	if len(s.Plan.Looks) == 0 {
		return nil, nil
	}
	all := s.PlannedPeople()
	at := append(slices.Clone(s.Plan.Looks), all)
	fractions := make([]float64, len(at))
	for k, n := range at {
		fractions[k] = float64(n) / float64(all)
	}
	bounds, err := looks.Bounds(fractions, s.Plan.Alpha, spendingOf(s.Plan))
	if err != nil {
		return nil, fmt.Errorf("%w: looks: %w", ErrPlan, err)
	}
	planned := make([]LookPlanned, len(at))
	for k, b := range bounds {
		planned[k] = LookPlanned{at[k], b, critical(b, at[k])}
	}
	return planned, nil
}

func spendingOf(p study.AnalysisPlan) looks.Spending {
	if p.Spending == study.SpendEvenly {
		return looks.Pocock
	}
	return looks.OBrienFleming
}

// critical is |t| of n people from which on tasting stops at a bound.
func critical(b looks.Bound, n int) float64 {
	if b.Z >= nothingLeftToSpend || n < 2 {
		return math.Inf(1)
	}
	return b.TCritical(n)
}

// takeLooks looks at pairs in the order of the looks until one decides, and keeps those that
// count. While tasting goes on every batch is a look before the end.
func (f *Finding) takeLooks(s *study.Study, when arrivals, goesOn bool) error {
	batches, warnings := when.batches(s.Plan, f.Pair.Each)
	for _, w := range warnings {
		f.warn(w)
	}
	f.Looks = &LooksPart{Spending: s.Plan.Spending, Planned: s.PlannedPeople(),
		Plain: Effect{Measure: method.MeanDifference, Value: math.NaN(), CI: stats.NoInterval(s.Plan.Level())}}
	all := len(f.Pair.Each)
	f.Pair.Each = nil
	for k, batch := range batches {
		before := len(f.Pair.Each)
		f.Pair.Each = append(f.Pair.Each, batch...)
		last := k == len(batches)-1 && !goesOn
		early := !last || lookBetween(s.Plan, before, len(f.Pair.Each))
		look, err := f.takeLook(s.Plan, early)
		if err == nil && last && early && !look.Reached { // all that is left is spent at the end
			look, err = f.takeLook(s.Plan, false)
			early = false
		}
		if err != nil {
			return err
		}
		f.Looks.Taken = append(f.Looks.Taken, look)
		if look.Reached && early && look.People < f.Looks.Planned {
			f.Looks.Stopped = len(f.Looks.Taken)
			break
		}
	}
	f.N, f.Looks.Later = len(f.Pair.Each), all-len(f.Pair.Each)
	if f.Looks.Later > 0 {
		f.Excluded = append(f.Excluded, Exclusion{Reason: reasonAfterStop, Count: f.Looks.Later})
	}
	return nil
}

// takeLook is one more look at the pairs so far; early when more may come.
func (f *Finding) takeLook(plan study.AnalysisPlan, early bool) (LookNow, error) {
	n := len(f.Pair.Each)
	var fractions []float64
	for _, l := range f.Looks.Taken {
		fractions = append(fractions, l.Bound.Fraction)
	}
	fractions = append(fractions, float64(n)/float64(f.Looks.Planned))
	at := len(fractions) - 1
	if early {
		fractions = append(fractions, fractions[at]+fractionBeyondTheEnd)
	}
	bounds, err := looks.Bounds(fractions, plan.Alpha, spendingOf(plan))
	if err != nil {
		return LookNow{}, fmt.Errorf("bounds of looks: %w", err)
	}
	x, y := columns(f.Pair.Each)
	r, err := ttest.Paired(x, y, ttest.PairedOptions{})
	if err != nil {
		return LookNow{}, fmt.Errorf("look at %d people: %w", n, err)
	}
	l := LookNow{People: n, Difference: r.Diff, SE: r.SE, T: r.T, P: r.P,
		Bound: bounds[at], Critical: critical(bounds[at], n)}
	l.Reached = math.Abs(r.T) >= l.Critical
	return l, nil
}

// adjusts reports whether there was an earlier look than the one at which tasting ended: else
// the t test is that of one look.
func (l *LooksPart) adjusts() bool { return l != nil && len(l.Taken) > 1 }

// ended is where the looks ended, for a t statistic there.
func (l *LooksPart) ended(t, df float64) looks.Ended {
	e := looks.Ended{At: looks.ZOf(t, df)}
	for k, x := range l.Taken {
		e.Fractions = append(e.Fractions, x.Bound.Fraction)
		if k < len(l.Taken)-1 {
			e.Z = append(e.Z, x.Bound.Z)
		}
	}
	return e
}

// testAfterLooks puts the test that allows for the looks in the place of that of one look,
// which stands beside it.
func (f *Finding) testAfterLooks(plan study.AnalysisPlan, t Test, r ttest.PairedResult) error {
	i, err := looks.Infer(f.Looks.ended(r.T, r.DF), plan.Level())
	if err != nil {
		return fmt.Errorf("infer after looks: %w", err)
	}
	f.Also = append(f.Also, t)
	f.Test = Test{method.PlannedLooks, method.PlannedLooks.Title(), r.T, r.DF, math.NaN(), i.P, math.NaN()}
	f.Measure = method.AfterLooks
	return nil
}

// estimatedAfterLooks is the estimate that allows for the looks, with its interval at a level.
func (f *Finding) estimatedAfterLooks(level float64) (estimate, error) {
	x, y := columns(f.Pair.Each)
	r, err := ttest.Paired(x, y, ttest.PairedOptions{})
	if err != nil {
		return estimate{}, err
	}
	ended := f.Looks.ended(r.T, r.DF)
	i, err := looks.Infer(ended, level)
	if err != nil {
		return estimate{}, fmt.Errorf("infer after looks: %w", err)
	}
	per := looks.PointsPerZ(r.T, r.SE, r.DF) * math.Sqrt(ended.Fractions[len(ended.Fractions)-1])
	return estimate{value: i.Estimate * per,
		ci: stats.Interval{Lo: i.CI.Lo * per, Hi: i.CI.Hi * per, Level: level}}, nil
}

// remarkLooks warns of what looks do to what is told, and keeps the mean as one look has it.
func (f *Finding) remarkLooks(plan study.AnalysisPlan) error {
	x, y := columns(f.Pair.Each)
	plain, err := estimated(method.MeanDifference, x, y, plan.Level())
	if err != nil {
		return err
	}
	f.Looks.Plain = Effect{method.MeanDifference, plain.value, plain.ci}
	if len(f.Looks.Taken) > len(plan.Looks)+1 {
		f.warn(Warning{WarnLookNotPlanned, fmt.Sprintf("%d looks were taken and %d planned: the bounds allow for all "+
			"of them only if when they came did not depend on the ratings", len(f.Looks.Taken), len(plan.Looks)+1)})
	}
	if first := f.Looks.Taken[0]; len(f.Looks.Taken) > 1 && first.People < fewestAtLook {
		f.warn(Warning{WarnFewAtLook, fmt.Sprintf("a look was taken at %d people, and below %d a t test leans on a "+
			"normal distribution that so few cannot show", first.People, fewestAtLook)})
	}
	if f.Looks.Stopped == 0 {
		return nil
	}
	f.warn(Warning{WarnAfterLook, "tasting stopped at an early look because the difference was clear: the means, the " +
		"standardised effects and the tests beside the planned one exaggerate, and the estimate that allows for the " +
		"look hardly less; plan the next study on a smaller difference"})
	if g := skewness(x, y); math.Abs(g) > skewedFrom {
		f.warn(Warning{WarnSkewed, "the differences are lopsided: with so few people early looks then raise a " +
			"false alarm more often than planned"})
	}
	return nil
}

// skewness of the differences x − y; 0 where they do not differ.
func skewness(x, y []float64) float64 {
	d := make([]float64, len(x))
	for i := range d {
		d[i] = x[i] - y[i]
	}
	mean, sd := stats.Mean(d), stats.SD(d)
	if !(sd > 0) {
		return 0
	}
	sum := 0.0
	for _, v := range d {
		sum += math.Pow((v-mean)/sd, 3)
	}
	return sum / float64(len(d))
}

// copied are the looks for a finding of fewer people at the same end.
func (l *LooksPart) copied() *LooksPart {
	if l == nil {
		return nil
	}
	again := *l
	return &again
}
