package analysis_test

import (
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// foundAlone is the primary finding of simulated answers, without its re-checks.
func foundAlone(t testing.TB, s *study.Study, answers []analysis.Rating) analysis.Finding {
	t.Helper()
	r, err := analysis.FoundAlone(s, answers)
	if err != nil {
		t.Fatal(err)
	}
	return r.Findings[0]
}

// What is reckoned beside a finding changes neither its verdict nor its numbers, so that
// tests may simulate findings alone.
func TestFoundAloneIsWhatAnalyseFinds(t *testing.T) {
	smoke, plan := smokeStudy(t)
	crusts := rankingStudy(t, "four-crusts")
	for seed := range uint64(20) {
		for s, answers := range map[*study.Study][]analysis.Rating{
			smoke:  analysis.SimulateThreshold(smoke, plan, smokeTruth, seed),
			crusts: orders(crusts, 48, rand.New(rand.NewPCG(seed, 2)), nil),
		} {
			f, alone := analyse(t, s, answers).Findings[0], foundAlone(t, s, answers)
			if f.Test.P != alone.Test.P || f.Verdict.Code != alone.Verdict.Code || f.N != alone.N {
				t.Errorf("%s: p %v, %s; alone %v, %s", s.Title, f.Test.P, f.Verdict.Code, alone.Test.P,
					alone.Verdict.Code)
			}
			if len(f.Rechecks) == 0 || len(alone.Rechecks) > 0 {
				t.Errorf("%s: %d re-checks, alone %d", s.Title, len(f.Rechecks), len(alone.Rechecks))
			}
		}
	}
}
