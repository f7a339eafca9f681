package lottery

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Halving with the draws that still matter ends where halving with all of them does.
func TestFewDrawsEndTheIntervalWhereAllDo(t *testing.T) {
	random := rand.New(rand.NewPCG(20, 21))
	ends := 0
	for round := range 40 {
		rows := [][]int32{{1, 2, 3}, {2, 3, 1}, {3, 1, 2}}
		if round%2 == 1 {
			rows = [][]int32{{1}, {2}}
		}
		o := orders{rows, []int{6, 6}, random}
		trial := Trial{First: 1, Second: 2, Groups: round%2 == 1, Sample: append([]int32{}, o.Next()...)}
		for i := range trial.Sample {
			trial.Assessor = append(trial.Assessor, i/len(rows[0]))
			trial.Value = append(trial.Value, 10*random.NormFloat64())
		}
		results, err := Test(o, 2000, trial)
		if err != nil {
			t.Fatal(err)
		}
		r := results[0]
		for _, side := range []float64{-1, 1} {
			refused := func(shift float64) bool { return r.refuses(r.reaching(shift, side, nil, nil), 0.025) }
			far := r.Difference + side*20*r.reach()
			if !refused(far) {
				continue
			}
			ends++
			got := r.search(0.025, side)
			if refused(got) || !refused(got+side*1e-9*r.reach()) {
				t.Errorf("round %d: the end is %v, and shares there %v", round, got, r.reaching(got, side, nil, nil))
			}
			in, out := halve(r.Difference, far, 60, refused)
			if math.Abs(in-got) > 1e-9*r.reach() {
				t.Logf("round %d: %v by all draws (to %v), %v by few: shares are not straight", round, in, out, got)
			}
		}
	}
	if ends < 40 {
		t.Errorf("%d ends only", ends)
	}
}
