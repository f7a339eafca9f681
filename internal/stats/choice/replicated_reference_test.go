package choice

import (
	"math"
	"testing"
)

// Values of reference-next.json (entries replicated.*): R 4.2.2, log-likelihoods twice, by
// rising factorials and by beta functions, agreeing with a general package to 1e-7.
func TestReplicatedReference(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name                     string
		correct                  []int
		each                     []int // one number for all, or one for each
		p                        Protocol
		mean, gamma, lr, pGamma  float64
		meanSE, gammaSE, pAsMany float64 // the last: all answers as independent
	}{
		{"triangle, 30 people, 4 each", []int{2, 1, 3, 4, 0, 1, 2, 4, 1, 1, 3, 2, 4, 1, 0, 2, 1, 4, 3, 1, 2, 1, 4, 0,
			1, 2, 3,
			1, 1, 4}, []int{4}, Triangle, 0.49823904101303723, 0.230178758782043, 7.733615099328006,
			0.0027101059742627187,
			0.05941019159810837, 0.09681282452814553, 0.0002407280264521673},
		{"2-AFC, 24 people, 6 each", []int{3, 6, 4, 2, 5, 6, 3, 3, 6, 4, 2, 6, 5, 3, 1, 6, 4, 3, 6, 2, 5, 3, 6, 4},
			[]int{6},
			TwoAFC, 0.686235505352639, 0.1923950851126796, 8.219917641366749, 0.0020716540292195214,
			0.05404351501029798,
			0.08847386274796568, 8.774249487705593e-06},
		{"triangle, unequal numbers", []int{2, 1, 0, 3, 4, 2, 1, 1, 5, 0, 2, 3}, []int{3, 3, 2, 4, 4, 3, 2, 4, 5, 3,
			3, 4},
			Triangle, 0.5775218402200519, 0.18830631599399467, 1.6811240063144908, 0.09738758272719514,
			0.09580342244827103,
			0.16541154676016676, 0.0004889611931997173},
	} {
		trials := make([]Trials, len(tc.correct))
		for i, x := range tc.correct {
			trials[i] = Trials{x, tc.each[i%len(tc.each)]}
		}
		r, err := ReplicatedDiscrimination(trials, tc.p)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range []struct {
			what            string
			got, want, near float64
		}{{"mean", r.PC, tc.mean, 1e-4}, {"gamma", r.Gamma, tc.gamma, 1e-4}, {"LR", r.ChiSqGamma, tc.lr, 1e-4},
			{"p of gamma", r.PGamma, tc.pGamma, 1e-4}, {"se of the mean", r.PCSE, tc.meanSE, 1e-3},
			{"se of gamma", r.GammaSE, tc.gammaSE, 1e-3}, {"p", r.PNaive, tc.pAsMany, 1e-9}} {
			if !(math.Abs(v.got-v.want) <= v.near*math.Abs(v.want)) {
				t.Errorf("%s: %s %.10g, want %.10g", tc.name, v.what, v.got, v.want)
			}
		}
	}
}
