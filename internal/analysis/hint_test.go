package analysis_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// A hint says what happens to panels like this one: of simulated studies of as many people,
// with the scatter that was found and the smallest effect as the truth, as many find a
// difference, and overstate it by as much, as the hint says.
func TestHintsHoldInSimulatedStudies(t *testing.T) {
	s := panelOf(2)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, Low: "not", High: "very", From: -1000, To: 1000}
	s.Plan.SmallestEffect = 5
	random := rand.New(rand.NewPCG(2014, 9))
	const n, sd = 20, 14.0
	a, b := make([]float64, n), make([]float64, n)
	studies := simulated.Analyses(10_000)
	found, size, power, exaggeration, hints := 0, 0.0, 0.0, 0.0, 0
	for range studies {
		for i := range a {
			a[i] = 5 + sd*random.NormFloat64()
		}
		f := analyse(t, s, paired(a, b)).Findings[0]
		if f.Test.P < s.Plan.Alpha {
			found, size = found+1, size+math.Abs(f.Value)
		}
		if f.Hint != nil {
			hints++
			power, exaggeration = power+f.Hint.Power, exaggeration+f.Hint.Exaggeration
		}
	}
	share, over := float64(found)/float64(studies), size/float64(found)/5
	power, exaggeration = power/float64(hints), exaggeration/float64(hints)
	if hints < found/2 {
		t.Fatalf("%d hints of %d found", hints, found)
	}
	// each study reckons with its own scatter, and those that find something have less of it
	if math.Abs(share-power) > 0.08 || math.Abs(over-exaggeration) > 0.25 {
		t.Errorf("found in %.3f of studies and overstated %.2f times; hints say %.3f and %.2f", share, over, power,
			exaggeration)
	}
}

// A finding is a hint where its size is open and the panel small, and no other.
func TestWhatIsAHint(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 641))
	seen := map[bool]int{}
	for range 600 {
		n := 6 + random.IntN(40)
		a, b := make([]float64, n), make([]float64, n)
		for i := range a {
			b[i] = 40 + 10*random.Float64()
			a[i] = b[i] + 6 + 12*random.NormFloat64()
		}
		s := panelOf(2)
		s.Attributes[0].Scale = study.Scale{Kind: study.Line, Low: "not", High: "very", From: -1000, To: 1000}
		s.Plan.SmallestEffect = float64(random.IntN(12))
		f := analyse(t, s, paired(a, b)).Findings[0]
		may := f.Verdict.Code == analysis.DifferentSizeOpen && f.Verdict.Margin > 0 &&
			f.Measure == method.MeanDifference
		if f.Hint != nil && (!may || f.Hint.Exaggeration < 1.5 && f.Hint.WrongSign < 0.05 || f.Hint.Power > 0.46) {
			t.Errorf("%+v of %+v", f.Hint, f.Verdict)
		}
		if may {
			seen[f.Hint != nil]++
		}
	}
	if seen[true] < 20 || seen[false] < 20 {
		t.Errorf("hints and others: %v", seen)
	}
}
