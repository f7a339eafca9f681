package calibrate_test

import (
	"testing"

	"cloche/internal/calibrate"
	_ "cloche/internal/simulated" // studies of a moment are garbage: collect it less often
)

// TestAnalysisKeepsItsPromises is the short run of "cloche calibrate": few studies of each
// kind, wide bounds, seeds that stay the same.
func TestAnalysisKeepsItsPromises(t *testing.T) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range kinds {
		rates, err := calibrate.Run(k.Study, 60, 1, nil)
		if err != nil {
			t.Errorf("%s: %v", k.Name, err)
			continue
		}
		if len(rates) == 0 || rates[0].What != calibrate.OfPrimary || rates[0].Of != 60 {
			t.Errorf("%s: %+v", k.Name, rates)
		}
		for _, r := range rates {
			t.Logf("%-40s %-60s %.3f %.3f of %d", k.Name, r.What, r.Stated, r.Share(), r.Of)
			if !r.Kept() {
				t.Errorf("%s: %s in %.3f of %d studies, stated %v", k.Name, r.What, r.Share(), r.Of, r.Stated)
			}
		}
	}
}

// A rate is kept within four standard errors, on both sides or on one.
func TestKept(t *testing.T) {
	for _, tc := range []struct {
		hits             int
		atMost, interval bool
		stated           float64
		want             bool
	}{
		{50, false, false, 0.05, true}, {77, false, false, 0.05, true}, {78, false, false, 0.05, false},
		{22, false, false, 0.05, false}, {0, true, false, 0.05, true}, {78, true, false, 0.05, false},
		{950, false, true, 0.95, true}, {922, true, true, 0.95, false}, {1000, true, true, 0.95, true},
		{1000, false, true, 0.95, false},
	} {
		r := calibrate.Rate{Stated: tc.stated, AtMost: tc.atMost, OfInterval: tc.interval, Hits: tc.hits, Of: 1000}
		if r.Kept() != tc.want {
			t.Errorf("%+v: kept %v", r, r.Kept())
		}
	}
}
