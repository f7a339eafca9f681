package analysis_test

import (
	"math"
	"testing"

	"cloche/internal/analysis"
)

// TestThresholdAhead compares with the interval of a mean by hand: the two-sided 5 % points of t
// with 29 and 59 degrees of freedom are 2.0452 and 2.0010 (Fisher & Yates, Statistical Tables,
// table III, from memory); the amounts of the example double.
func TestThresholdAhead(t *testing.T) {
	s := parseStudy(t, "../../studies/little-smoke.yaml")
	if step, ok := analysis.StepOf(s); !ok || math.Abs(step-2) > 1e-12 {
		t.Fatalf("a step is a factor of %v", step)
	}
	ahead := analysis.ThresholdsAhead(s, 30)
	for i, at := range []struct {
		people int
		point  float64
	}{{30, 2.0452}, {60, 2.0010}} {
		one := math.Exp2(at.point / math.Sqrt(float64(at.people)))
		if x := ahead[i]; x.Assessors != at.people || math.Abs(x.OneStep/one-1) > 1e-5 ||
			math.Abs(x.TwoSteps/(one*one)-1) > 1e-5 {
			t.Errorf("%+v, want a factor of %v, and its square", x, one)
		}
	}
}
