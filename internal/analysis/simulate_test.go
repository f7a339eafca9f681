package analysis_test

import (
	"bytes"
	"flag"
	"os"
	"reflect"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/study"
)

var update = flag.Bool("update", false, "rewrite the files that tests compare with")

func TestCommittedRatingsAreTheGenerators(t *testing.T) {
	s, _, ratings := custard(t, analysis.CustardSeed)
	var want bytes.Buffer
	if err := analysistest.WriteCSV(&want, s, ratings); err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(custardRatings, want.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(custardRatings)
	if err != nil {
		t.Fatalf("%v; run go test ./internal/analysis -update", err)
	}
	if !bytes.Equal(got, want.Bytes()) {
		t.Errorf("%s is not what the generator gives; run go test ./internal/analysis -update and read the difference",
			custardRatings)
	}
}

// That a savoury dish is called saltier under a sweet name is common practice
// without a source; the generator is built to say so, and the analysis must
// find what the generator put in.
func TestSweetPromisingNameComesOutSaltier(t *testing.T) {
	s, plan, _ := custard(t, 1)
	f, err := os.Open(custardRatings)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	ratings, problems := analysis.ReadCSV(custardRatings, f, s, analysis.KeyOf(plan))
	if len(problems) > 0 {
		t.Fatalf("the committed ratings do not fit the plan: %v", problems)
	}
	r := analyse(t, s, ratings)
	salt := r.Findings[0]
	if s.NameText(salt.Comparison[0]) != "celeriac crème brûlée" || salt.N != 40 {
		t.Fatalf("primary finding compares %v in %d assessors", salt.Comparison, salt.N)
	}
	if !(salt.Value > 0 && salt.Test.P < s.Plan.Alpha) {
		t.Errorf("difference %g, p %g: the dessert's name should come out saltier", salt.Value, salt.Test.P)
	}
	if truth := 6.0; !(salt.CI.Lo <= truth && truth <= salt.CI.Hi) {
		t.Errorf("interval %g to %g does not cover the true effect %g", salt.CI.Lo, salt.CI.Hi, truth)
	}
}

// Over many panels a 95 % interval covers the truth in 95 of 100. With 1000
// panels the count lies in 950 ± 28 in all but 1 of 20 000 runs (binomial).
func TestIntervalsCoverTheTruth(t *testing.T) {
	truth := map[study.AttributeID]float64{"saltiness": 6, "sweetness": -3, "smoothness": 0}
	covered := map[study.AttributeID]int{}
	const panels = 1000
	s, plan, _ := custard(t, 0)
	for seed := range uint64(panels) {
		ratings := analysis.Simulate(s, plan, analysis.CustardTruth(), seed)
		for _, f := range analyse(t, s, ratings).Findings {
			if f.CI.Lo <= truth[f.Attribute] && truth[f.Attribute] <= f.CI.Hi {
				covered[f.Attribute]++
			}
		}
	}
	for a := range truth {
		if n := covered[a]; n < 950-28 || n > 950+28 {
			t.Errorf("%s: %d of %d intervals cover the truth", a, n, panels)
		}
	}
}

func TestSimulateIsReproducible(t *testing.T) {
	s, plan, first := custard(t, 7)
	if again := analysis.Simulate(s, plan, analysis.CustardTruth(), 7); !reflect.DeepEqual(first, again) {
		t.Error("the same seed gave other ratings")
	}
	if other := analysis.Simulate(s, plan, analysis.CustardTruth(), 8); reflect.DeepEqual(first, other) {
		t.Error("another seed gave the same ratings")
	}
	fewer := *s
	fewer.Attributes = s.Attributes[1:]
	for i, r := range analysis.Simulate(&fewer, plan, analysis.CustardTruth(), 7) {
		if want := first[i+i/3+1]; r != want {
			t.Fatalf("without the first attribute rating %d is %v, want %v: one draw shifts another", i, r, want)
		}
	}
}
