package choice

import (
	"fmt"
	"math"
)

// SequentialDesign is Wald's sequential test of a proportion: answers are
// taken one at a time until they decide.
type SequentialDesign struct {
	P0    float64 // proportion correct when nothing is perceived (chance)
	P1    float64 // proportion correct worth finding, above P0
	Alpha float64 // risk of deciding "different" at P0
	Beta  float64 // risk of deciding "similar" at P1
}

// SequentialState is where a sequential test stands.
type SequentialState int

// The states: more answers are needed, or the test has decided.
const (
	Undecided SequentialState = iota
	DecidedSimilar
	DecidedDifferent
)

// String says the state in a word.
func (s SequentialState) String() string {
	return [...]string{"open", "similar", "different"}[s]
}

// SequentialLines are the two parallel lines between which the count of
// correct answers goes on: Low + Slope·n and High + Slope·n.
type SequentialLines struct{ Slope, Low, High float64 }

// SequentialStep is the test after one answer.
type SequentialStep struct {
	N, Correct int
	Accept     float64 // at or below this count of correct answers: similar
	Reject     float64 // at or above it: different
	State      SequentialState
}

// SequentialResult is a sequential course. After the first decision the test
// is over; later answers are not read.
type SequentialResult struct {
	Lines SequentialLines
	Steps []SequentialStep
	State SequentialState
}

// Lines returns the decision lines: Wald (1947), Sequential Analysis, 5.3;
// ISO 16820. The actual risks stay close to and in sum below Alpha + Beta.
func (d SequentialDesign) Lines() (SequentialLines, error) {
	switch {
	case !(d.P0 > 0 && d.P0 < d.P1 && d.P1 < 1):
		return SequentialLines{}, fmt.Errorf("proportions %g and %g: they must rise within (0, 1)", d.P0, d.P1)
	case !(d.Alpha > 0 && d.Beta > 0 && d.Alpha+d.Beta < 1):
		return SequentialLines{}, fmt.Errorf("risks %g and %g: they must be above 0 and sum to less than 1", d.Alpha,
			d.Beta)
	}
	odds := math.Log(d.P1*(1-d.P0)) - math.Log(d.P0*(1-d.P1))
	return SequentialLines{
		Slope: (math.Log(1-d.P0) - math.Log(1-d.P1)) / odds,
		Low:   (math.Log(d.Beta) - math.Log(1-d.Alpha)) / odds,
		High:  (math.Log(1-d.Beta) - math.Log(d.Alpha)) / odds,
	}, nil
}

// Sequential runs the test over the answers in order, true for correct. No
// answers yet leave it open.
func Sequential(correct []bool, d SequentialDesign) (SequentialResult, error) {
	lines, err := d.Lines()
	if err != nil {
		return SequentialResult{}, err
	}
	r := SequentialResult{Lines: lines}
	right := 0
	for i, ok := range correct {
		if ok {
			right++
		}
		n := float64(i + 1)
		step := SequentialStep{N: i + 1, Correct: right,
			Accept: lines.Low + lines.Slope*n, Reject: lines.High + lines.Slope*n, State: lines.at(right, i+1)}
		r.Steps, r.State = append(r.Steps, step), step.State
		if r.State != Undecided {
			break
		}
	}
	return r, nil
}
