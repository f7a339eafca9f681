package analysis_test

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

var update = flag.Bool("update", false, "rewrite the files that tests compare with")

const (
	custardFile    = "../../studies/celeriac-custard.yaml"
	custardRatings = "../../studies/celeriac-custard-ratings.csv"
)

func parseStudy(t testing.TB, file string) *study.Study {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(file, src)
	if len(problems) > 0 {
		t.Fatalf("%v", problems)
	}
	return s
}

// custard returns the invented study with its plan and ratings.
func custard(t testing.TB, seed uint64) (*study.Study, *design.Plan, []analysis.Rating) {
	t.Helper()
	s := parseStudy(t, custardFile)
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	return s, plan, analysis.Simulate(s, plan, analysis.CustardTruth(), seed)
}

func TestCommittedRatingsAreTheGenerators(t *testing.T) {
	s, _, ratings := custard(t, analysis.CustardSeed)
	var want bytes.Buffer
	if err := analysis.WriteCSV(&want, s, ratings); err != nil {
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
		t.Errorf("%s is not what the generator gives; run go test ./internal/analysis -update and read the difference", custardRatings)
	}
}
