package analysis_test

import (
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/study"
)

// drags are ratings of a drawn plan in which the samples are alike, and the last of them
// takes so many points from whatever is tasted after it.
func drags(t *testing.T, n, k int, points float64, seed uint64) (*study.Study, []analysis.Rating) {
	t.Helper()
	s := panelOf(k)
	s.Panel.Assessors = n
	plan, err := design.Draw(s, design.Options{Seed: seed, Assessors: n})
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(seed, 9))
	var ratings []analysis.Rating
	person, before, assessor := 0.0, int32(-1), int32(-1)
	for _, v := range plan.Servings {
		if v.Assessor != assessor {
			assessor, before, person = v.Assessor, -1, 8*random.NormFloat64()
		}
		value := 50 + person + 8*random.NormFloat64()
		if before == int32(k-1) {
			value -= points
		}
		before = int32(v.Sample)
		ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(int(v.Assessor) + 1),
			Position: int(v.Position),
			Sample:   plan.Samples[v.Sample], Attribute: "salt", Value: min(100, max(0, float64(int(value))))})
	}
	return s, ratings
}

// One sample that drags the next by ten points makes false findings of a pair with it.
// Each of them carries the remark, and beside it the difference that allows for it, which
// is found about as seldom as it should be.
func TestDraggedPairsAreRemarked(t *testing.T) {
	const studies = 60
	found, remarked, foundBeside := 0, 0, 0
	for seed := range uint64(studies) {
		s, ratings := drags(t, 48, 4, 10, seed)
		s.Plan.Compare = [2]study.SampleID{"A", "D"}
		f := analyse(t, s, ratings).Findings[0]
		if hasWarning(f.Warnings, analysis.WarnCarryOver) {
			remarked++
		}
		if f.Test.P < 0.05 {
			found++
		}
		for _, r := range f.Rechecks {
			if strings.HasSuffix(r.What, "with what was tasted just before allowed for") && r.P < 0.05 {
				foundBeside++
			}
		}
	}
	t.Logf("of %d: %d false findings, %d remarked, %d found with carry-over allowed for", studies, found, remarked,
		foundBeside)
	if found < studies/5 {
		t.Errorf("only %d false findings of %d: nothing to remark on", found, studies)
	}
	if remarked < studies*95/100 {
		t.Errorf("%d of %d carry the remark", remarked, studies)
	}
	if foundBeside > studies/6 { // 5 % expected; more than 10 of 60 by chance once in 2000
		t.Errorf("%d of %d find a difference with carry-over allowed for", foundBeside, studies)
	}
}

// Of every plan of all samples the estimable part of position and carry-over is tested,
// and it is all of it: one less than there are samples. What cannot be told is said.
func TestOrderIsTestedByRankInEveryPlan(t *testing.T) {
	for k := 3; k <= 8; k++ {
		for _, n := range []int{2 * k, 3*k + 1} {
			s, ratings := drags(t, n, k, 0, uint64(k))
			f := ofPanel(t, analyse(t, s, ratings))
			position, ok := checkOf(f, method.Position)
			if !ok || position.DF != float64(k-1) {
				t.Errorf("%d people, %d samples: position is tested on %g of %d", n, k, position.DF, k-1)
			}
			previous, ok := checkOf(f, method.Previous)
			if !ok || previous.DF != float64(k-1) || !(previous.P >= 0) {
				t.Errorf("%d people, %d samples: carry-over is tested on %g of %d, %v", n, k, previous.DF, k-1,
					f.Warnings)
			}
			for _, p := range f.Panel.Pairs {
				if !(p.WithCarryOverTest.DF > 0) {
					t.Errorf("%d people, %d samples: %s and %s have no difference with carry-over allowed for", n, k,
						p.First, p.Second)
				}
			}
		}
	}
}
