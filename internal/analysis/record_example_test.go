package analysis_test

import (
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/simulated"
)

// eveningsMean is what the invented evenings of the record truly come to, on average.
const eveningsMean = 6.

// The invented evenings of the demo's record hold their truth, what is said of a further evening holds that of each,
// and over many records of four evenings that truly differ at least 95 % of the intervals hold the mean of all
// evenings.
func TestRecordOfTheExample(t *testing.T) {
	t.Parallel()
	s := parseStudy(t, custardFile)
	found := func(e analysis.Evening) analysis.FoundDifference {
		plan, err := design.Draw(s, design.Options{Seed: e.Seed})
		if err != nil {
			t.Fatal(err)
		}
		all, err := analysis.FoundDifferences(s, analysis.Simulate(s, plan, analysis.CustardTruthOf(e), e.Seed), nil)
		if err != nil {
			t.Fatal(err)
		}
		return all[0]
	}
	together := func(evenings []analysis.Evening) *analysis.Together {
		var all []analysis.FoundDifference
		for _, e := range evenings {
			all = append(all, found(e))
		}
		return analysis.Records(all)[0].Together
	}
	kept, truth := analysis.CustardEvenings(), 0.
	for _, e := range kept {
		truth += e.Saltier / float64(len(kept))
	}
	r := together(kept)
	if truth != eveningsMean || r.CI.Lo <= 0 || r.CI.Lo > truth || r.CI.Hi < truth {
		t.Errorf("the truth is %v; together %.2f, %v", truth, r.Mean, r.CI)
	}
	for _, e := range kept {
		if p := r.Prediction; p.Lo > e.Saltier || p.Hi < e.Saltier {
			t.Errorf("a further evening is expected in %v, one was %v", p, e.Saltier)
		}
	}
	const apart = 1.1 // standard deviation of true differences, as among those that are kept
	const n = 200
	held := 0
	draw := rand.New(rand.NewPCG(20261129, 1))
	for range n {
		var evenings []analysis.Evening
		for range kept {
			evenings = append(evenings, analysis.Evening{Saltier: eveningsMean + apart*draw.NormFloat64(),
				Seed: draw.Uint64()})
		}
		if r := together(evenings); r.CI.Lo <= eveningsMean && r.CI.Hi >= eveningsMean {
			held++
		}
	}
	t.Logf("together %.2f (%.2f to %.2f); held in %d of %d records", r.Mean, r.CI.Lo, r.CI.Hi, held, n)
	if rate := float64(held) / float64(n); rate < 0.95-simulated.Margin(0.95, n) {
		t.Errorf("the interval holds the truth in %v of %d records", rate, n)
	}
}
