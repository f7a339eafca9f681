package analysis_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// half is the study of a dish under a name and blind, of which half of the panel is asked.
func half() *study.Study {
	s := besideBlind(study.Scale{Kind: study.Line, Low: "not", High: "very"})
	s.Serving.Expectation, s.Serving.AskHalf = true, true
	return s
}

// Welch's t test of the first five, who were asked, against the others.
func TestAskedAgainstNotAskedAsInR(t *testing.T) {
	r, err := analysis.Analyse(half(), paired(ratedA, ratedB), analysis.Options{Expected: expectations("a",
		expectedA[:5])})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Asking) != 3 || r.Asking[0].Minus != "B" || r.Asking[1].Sample != "A" || r.Asking[2].Minus != "" {
		t.Fatalf("compared %+v", r.Asking)
	}
	for i, want := range askedInR {
		h := r.Asking[i]
		got := [5]float64{h.Value, h.Test.Statistic, h.Test.DF, h.Test.P, h.CI.Lo}
		for k := range want {
			if !near(got[k], want[k], 1e-8, 1e-10) {
				t.Errorf("row %d: %.12g, want %.12g", i, got[k], want[k])
			}
		}
		if h.Ns != [2]int{5, 5} {
			t.Errorf("halves of %v", h.Ns)
		}
	}
	w := r.Ways[0]
	if w.N != 5 || len(w.Excluded) != 1 || w.Excluded[0] != (analysis.Exclusion{Reason: analysis.ReasonNotAsked,
		Count: 5}) {
		t.Errorf("%d people, left out %v", w.N, w.Excluded)
	}
	s := half()
	s.Serving.AskHalf = false
	if r, err = analysis.Analyse(s, paired(ratedA, ratedB), analysis.Options{Expected: expectations("a",
		expectedA[:5])}); err != nil || r.Asking != nil {
		t.Errorf("halves that were not drawn: %v, %v", r.Asking, err)
	}
}

// Where asking changes nothing the test finds something in alpha of studies, and where it does,
// the interval holds by how much.
func TestAskingIsCalibrated(t *testing.T) {
	s, studies := half(), simulated.Analyses(10_000)
	on := func(v float64) float64 { return min(100, max(0, v)) }
	for _, moved := range []float64{0, 6} {
		random := rand.New(rand.NewPCG(11, uint64(moved)))
		found, held := 0, 0
		for range studies {
			var named, blind, said []float64
			for i := range 40 {
				level := 50 + 8*random.NormFloat64()
				by := 5.0
				if i < 20 {
					by += moved
					said = append(said, on(level+15+7*random.NormFloat64()))
				}
				named = append(named, on(level+by+7*random.NormFloat64()))
				blind = append(blind, on(level+7*random.NormFloat64()))
			}
			r, err := analysis.Analyse(s, paired(named, blind), analysis.Options{Expected: expectations("a", said)})
			if err != nil {
				t.Fatal(err)
			}
			h := r.Asking[0]
			if h.Test.P < 0.05 {
				found++
			}
			if h.CI.Lo <= moved && moved <= h.CI.Hi {
				held++
			}
		}
		share := func(k int) float64 { return float64(k) / float64(studies) }
		if margin := simulated.Margin(0.95, studies); math.Abs(share(held)-0.95) > margin ||
			moved == 0 && math.Abs(share(found)-0.05) > margin || moved > 0 && share(found) < 0.3 {
			t.Errorf("moved by %g: found in %.3f, held in %.3f", moved, share(found), share(held))
		}
	}
}

// askedInR are difference, t, df, p and the lower end: t.test(v[1:5], v[6:10]) in R 4.2 (package stats), of
// the differences A − B, of A and of B.
var askedInR = [3][5]float64{
	{-1.4, -0.608121139868297, 7.99988608207787, 0.559971589507808, -6.7088333553094},
	{-1.2, -0.211340986102905, 7.54034969103516, 0.838220616867333, -14.4337971818276},
	{0.200000000000003, 0.0399043442233817, 7.22962175390517, 0.969249086232164, -11.5755814863556},
}
