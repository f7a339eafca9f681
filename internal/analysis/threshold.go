package analysis

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// ThresholdPart is what only findings on thresholds have. The estimate is the geometric
// mean of people's own.
type ThresholdPart struct {
	Unit           study.AmountUnit
	Steps          []RisingStep // from the least amount on
	Each           []ThresholdPerson
	Right, Answers int     // of all trays
	Chance         float64 // of a right answer when nothing is tasted
	LogSD          float64 // standard deviation of log10 of people's own thresholds
	FalseStarts    int     // people who were right below their last miss
	Below, Above   int     // people who were right throughout; who missed the largest amount
	Inside         bool    // the group's threshold lies within the series
	Curve          Effect  // the amount at which half of the people taste it, by a curve through all answers
	CurveSlope     float64 // of the curve, for each tenfold amount; NaN where there is none
	CurveMiddle    float64 // of the curve, its logit at 1
	CurveInside    bool    // that amount lies within the series, and its interval has two ends
}

// RisingStep is one amount of the series.
type RisingStep struct {
	Sample   study.SampleID
	Amount   float64
	N, Right int // answers
}

// ThresholdPerson is what one person answered.
type ThresholdPerson struct {
	Assessor  string
	Right     []float64 // at the steps: 1 right, 0 wrong, NaN not answered
	Threshold float64   // by the best estimate; NaN where a tray is missing
}

// Codes of the warnings on thresholds.
const (
	WarnAllRight     = stats.WarnAllCorrect
	WarnAllMissed    = dose.WarnAllMissed
	WarnNoThreshold  = "no-threshold"
	WarnCurveOpen    = "no-finite-curve"
	WarnCurveMisses  = dose.WarnLackOfFit
	ReasonUnfinished = "did not answer every tray"
)

// raised is the sample of the one serving of a tray that has an amount; "" where the tray is
// not two of the first sample and one of another.
func (t choiceTurn) raised(s *study.Study) (sample study.SampleID) {
	without := 0
	for _, r := range t.servings {
		switch {
		case r.Sample == s.Samples[0].ID:
			without++
		default:
			sample = r.Sample
		}
	}
	if without != len(t.servings)-1 {
		return ""
	}
	return sample
}

// findThreshold finds from which amount on people taste it: everybody's best estimate and
// the group's (ASTM E679), a curve through all answers beside it, and whether more answers
// are right than guessing gives, by the exact binomial test of all of them: who tastes
// nothing guesses in each tray anew.
func findThreshold(s *study.Study, answers []Rating, _ []Expectation, _ *leftOut, r *Result) error {
	turns, err := choiceTurns(s, answers)
	if err != nil {
		return err
	}
	level := s.Plan.Level()
	nothing := Effect{Measure: method.ThresholdCurve, Value: math.NaN(), CI: stats.NoInterval(level)}
	f := Finding{Kind: KindThreshold, Role: Primary, Attribute: s.Attributes[0].ID,
		Estimate: Estimate{Measure: method.BestEstimate, Value: math.NaN(), CI: stats.NoInterval(level), Lean: 1},
		Threshold: ThresholdPart{Unit: s.AmountsIn, Chance: choice.ThreeAFC.Chance(), LogSD: math.NaN(),
			Curve: nothing}}
	if err := f.trays(s, turns); err != nil {
		return err
	}
	if err := f.testTrays(s.Plan); err != nil {
		return err
	}
	if err := f.bestEstimates(level); err != nil {
		return err
	}
	if err := f.curve(level); err != nil {
		return err
	}
	f.remarkThreshold(s, answers)
	f.conclude(s.Plan)
	r.Findings = append(r.Findings, f)
	return nil
}

// trays lays the answers out by person and amount.
func (f *Finding) trays(s *study.Study, turns []choiceTurn) error {
	t := &f.Threshold
	place := map[study.SampleID]int{}
	for k, x := range s.Samples {
		f.Comparison = append(f.Comparison, x.ID)
		if k > 0 {
			place[x.ID] = k - 1
			t.Steps = append(t.Steps, RisingStep{Sample: x.ID, Amount: s.Amount(x.ID)})
		}
	}
	for i, turn := range turns { // by assessor
		if i == 0 || turn.assessor != turns[i-1].assessor {
			person := ThresholdPerson{Assessor: turn.assessor, Threshold: math.NaN()}
			for range t.Steps {
				person.Right = append(person.Right, math.NaN())
			}
			t.Each = append(t.Each, person)
		}
		k, row := place[turn.raised(s)], t.Each[len(t.Each)-1].Right
		if !math.IsNaN(row[k]) {
			return fmt.Errorf("%w: assessor %s answers two trays with sample %s", ErrRating, turn.assessor,
				t.Steps[k].Sample)
		}
		right := boolToInt(isRaised(s, turn))
		row[k] = float64(right)
		t.Steps[k].N, t.Steps[k].Right = t.Steps[k].N+1, t.Steps[k].Right+right
		t.Answers, t.Right = t.Answers+1, t.Right+right
	}
	return nil
}

// testTrays tests the right answers against guessing.
func (f *Finding) testTrays(plan study.AnalysisPlan) error {
	t := f.Threshold
	d, err := choice.Discrimination(t.Right, t.Answers, choice.ThreeAFC,
		choice.DiscriminationOptions{Level: plan.Level()})
	if err != nil {
		return err
	}
	f.Test = Test{Method: method.Binomial, Title: method.Binomial.Title(), Statistic: float64(t.Right), DF: math.NaN(),
		P: d.PDifference, PAdjusted: math.NaN()}
	return nil
}

// bestEstimates are the thresholds of those who answered every tray, and the group's.
func (f *Finding) bestEstimates(level float64) error {
	t := &f.Threshold
	var amounts []float64
	for _, x := range t.Steps {
		amounts = append(amounts, x.Amount)
	}
	var whole [][]bool
	var who []int
	for i, x := range t.Each {
		if slices.ContainsFunc(x.Right, math.IsNaN) {
			continue
		}
		row := make([]bool, len(x.Right))
		for j, v := range x.Right {
			row[j] = v == 1
		}
		whole, who = append(whole, row), append(who, i)
		t.FalseStarts += boolToInt(startsFalsely(row))
	}
	if f.N = len(whole); f.N < len(t.Each) {
		f.Excluded = append(f.Excluded, Exclusion{ReasonUnfinished, len(t.Each) - f.N})
	}
	if f.N == 0 {
		return nil
	}
	found, err := dose.BestEstimateThreshold(amounts, whole, level)
	if err != nil {
		return err
	}
	for k, i := range who {
		t.Each[i].Threshold = found.Individual[k]
	}
	f.Value, f.CI, t.LogSD = found.Threshold, found.CI, found.LogSD
	t.Below, t.Above, t.Inside = found.AllRight, found.AllMissed, f.inSeries(found.Threshold)
	return nil
}

// startsFalsely reports whether somebody was right below a miss.
func startsFalsely(row []bool) bool {
	first := slices.Index(row, true)
	return first >= 0 && slices.Contains(row[first:], false)
}

// inSeries reports whether an amount is one that lies between those tasted, but for rounding.
func (f *Finding) inSeries(amount float64) bool {
	steps := f.Threshold.Steps
	return amount >= steps[0].Amount*(1-1e-12) && amount <= steps[len(steps)-1].Amount*(1+1e-12)
}

// curve fits the curve through all answers.
func (f *Finding) curve(level float64) error {
	t := &f.Threshold
	t.CurveSlope, t.CurveMiddle = math.NaN(), math.NaN()
	var amounts []float64
	for _, x := range t.Steps {
		amounts = append(amounts, x.Amount)
	}
	rows := make([][]float64, len(t.Each))
	for i, x := range t.Each {
		rows[i] = x.Right
	}
	c, err := dose.CurveOfPeople(amounts, rows, t.Chance, level)
	if errors.Is(err, dose.ErrConstant) { // everybody answered the same one tray
		return nil
	}
	if err != nil {
		return err
	}
	t.CurveSlope, t.CurveMiddle = c.Slope, c.Intercept
	t.Curve.Value, t.Curve.CI = c.Threshold, c.ThresholdCI
	t.CurveInside = !c.ThresholdCI.Absent() && f.inSeries(c.Threshold)
	if slices.ContainsFunc(c.Warnings, func(w stats.Warning) bool { return w.Code == dose.WarnLackOfFit }) {
		f.warn(Warning{WarnCurveMisses, fmt.Sprintf("the curve misses the answers by more than chance (%s): read its "+
			"amount with care", pText(c.P))})
	}
	f.Effects = append(f.Effects, t.Curve)
	return nil
}

// At is the share of right answers that the curve has at an amount; NaN where there is none.
func (t ThresholdPart) At(amount float64) float64 {
	return t.Chance + (1-t.Chance)/(1+math.Exp(-t.CurveMiddle-t.CurveSlope*math.Log10(amount)))
}

// remarkThreshold adds what a careful reader should know of a threshold.
func (f *Finding) remarkThreshold(s *study.Study, answers []Rating) {
	t := f.Threshold
	if need := Fewest(s.Plan.Alpha); f.N < need {
		f.warn(warnFewPairs(f.N, need, "answered every tray"))
	}
	least, most := t.Unit.Short(t.Steps[0].Amount), t.Unit.Short(t.Steps[len(t.Steps)-1].Amount)
	if t.Below > 0 {
		f.warn(Warning{WarnAllRight, fmt.Sprintf("%s right throughout: the threshold of each is set half a step below "+
			"%s, the least amount, which nobody tasted; a series that starts lower would "+
			"say", werePeople(t.Below), least)})
	}
	if t.Above > 0 {
		f.warn(Warning{WarnAllMissed, fmt.Sprintf("%s wrong at %s, the largest amount: the threshold of each is set "+
			"half "+
			"a step above it, which nobody tasted; a series that goes higher would say", werePeople(t.Above), most)})
	}
	if f.N > 0 && !t.Inside {
		f.warn(Warning{WarnNoThreshold, fmt.Sprintf("the threshold of the group lies outside the series, from %s to "+
			"%s, "+
			"so that no amount is named", least, most)})
	}
	if !t.CurveInside {
		f.warn(Warning{WarnCurveOpen, "the answers do not bear a curve with an amount within the series at which " +
			"half of " +
			"the people taste it"})
	}
	broken, all := 0, 0
	for _, r := range answers {
		broken, all = broken+boolToInt(r.Revealed), all+1
	}
	if broken > 0 {
		f.warn(warnBlindBroken(broken, all))
	}
}

func werePeople(n int) string {
	if n == 1 {
		return "1 person was"
	}
	return fmt.Sprintf("%d people were", n)
}
