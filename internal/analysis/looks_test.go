package analysis_test

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// lookingStudy is the custard of one dish under two names, with looks at 16 and 32 of 48 people
// over three sittings.
func lookingStudy(t testing.TB) *study.Study {
	t.Helper()
	s := parseStudy(t, "../../studies/celeriac-custard.yaml")
	s.Panel.Assessors, s.Panel.Sittings = 48, 3
	s.Plan.Looks, s.Plan.Spending = []int{16, 32}, study.SpendLate
	return s
}

// evenings plays a study whose people find the first sample so much saltier, in sd of a difference.
func evenings(s *study.Study, plan *design.Plan, dz float64, seed uint64) []analysis.Rating {
	truth := analysis.Truth{}
	for _, a := range s.Attributes {
		truth[a.ID] = analysis.TrueAttribute{Mean: (a.Scale.Min() + a.Scale.Max()) / 2, AssessorSD: 1, RatingSD: 1}
	}
	x, _ := s.Attribute(s.Plan.Attribute)
	sd := (x.Scale.Max() - x.Scale.Min()) / 12
	truth[s.Plan.Attribute] = analysis.TrueAttribute{Mean: x.Scale.Min() + 6*sd, AssessorSD: sd,
		RatingSD: sd, Effects: map[study.SampleID]float64{s.Plan.Compare[0]: dz * sd * math.Sqrt2}}
	return analysis.Simulate(s, plan, truth, seed)
}

func drawn(t testing.TB, s *study.Study) *design.Plan {
	t.Helper()
	plan, err := design.Draw(s, design.Options{Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

// Whatever says when people came, the same people are at each look, and the answer is the same;
// a file says it too.
func TestLooksByWhatSaysWhenPeopleCame(t *testing.T) {
	s := lookingStudy(t)
	ratings := evenings(s, drawn(t, s), 0.9, 1)
	bySitting := analyse(t, s, ratings).Findings[0]
	if n := len(bySitting.Looks.Taken); n < 2 || bySitting.Looks.Taken[0].People != 16 {
		t.Fatalf("looks %+v", bySitting.Looks)
	}
	marked, arrived, numbers := slices.Clone(ratings), slices.Clone(ratings), slices.Clone(ratings)
	for i, r := range ratings {
		marked[i].Look, marked[i].Sitting = r.Sitting, 0
		var n int
		fmt.Sscan(r.Assessor, &n)
		arrived[i].Arrived, arrived[i].Sitting = 2*n+r.Position, 0
		numbers[i].Sitting = 0
	}
	for name, again := range map[string][]analysis.Rating{"look": marked, "arrived": arrived, "numbers": numbers} {
		f := analyse(t, s, again).Findings[0]
		if f.N != bySitting.N || !near(f.Value, bySitting.Value, 1e-12,
			0) || f.Looks.Stopped != bySitting.Looks.Stopped {
			t.Errorf("by %s: %d people, %g; by sitting %d, %g", name, f.N, f.Value, bySitting.N, bySitting.Value)
		}
		warned := slices.ContainsFunc(f.Warnings,
			func(w analysis.Warning) bool { return w.Code == "arrival-not-known" })
		if warned != (name == "numbers") {
			t.Errorf("by %s: warned %v", name, warned)
		}
	}
	var file bytes.Buffer
	if err := analysistest.WriteCSV(&file, s, marked); err != nil {
		t.Fatal(err)
	}
	back, problems := analysis.ReadCSV("r.csv", &file, s, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if f := analyse(t, s, back).Findings[0]; f.N != bySitting.N || !near(f.Value, bySitting.Value, 1e-9, 0) {
		t.Errorf("read back: %d people, %g", f.N, f.Value)
	}
}

// TestLooksAreWarnedOf: of more looks than planned, of one at too few people, and of lopsided
// differences behind a stop, each alone.
func TestLooksAreWarnedOf(t *testing.T) {
	s := lookingStudy(t)
	plan := drawn(t, s)
	marked := func(dz float64, ends ...int) []analysis.Rating {
		ratings := evenings(s, plan, dz, 1)
		for i, r := range ratings {
			var n int
			fmt.Sscan(r.Assessor, &n)
			at, met := slices.BinarySearch(ends, n)
			if !met && at == len(ends) {
				t.Fatalf("person %d comes after %v", n, ends)
			}
			ratings[i].Look, ratings[i].Sitting = at+1, 0
		}
		return ratings
	}
	lopsided := marked(3, 16, 32, 48)
	for i, r := range lopsided {
		if r.Assessor == lopsided[0].Assessor && r.Attribute == s.Plan.Attribute {
			lopsided[i].Value = 0
			if r.Sample == s.Plan.Compare[0] {
				lopsided[i].Value = 100
			}
		}
	}
	for name, c := range map[string]struct {
		ratings []analysis.Rating
		want    []string
	}{
		"as planned": {marked(0, 16, 32, 48), nil},
		"one more":   {marked(0, 16, 24, 32, 48), []string{analysis.WarnLookNotPlanned}},
		"too few":    {marked(0, 10, 32, 48), []string{analysis.WarnFewAtLook}},
		"even":       {marked(3, 16, 32, 48), nil},
		"lopsided":   {lopsided, []string{analysis.WarnSkewed}},
	} {
		var got []string
		r := analyse(t, s, c.ratings)
		f := r.Findings[0]
		if stopped := f.Looks.Stopped > 0; has(r.Warnings, analysis.WarnOthersAtLook) != stopped {
			t.Errorf("%s: stopped early %v, and what else is found is warned of: %v", name, stopped, r.Warnings)
		}
		for _, code := range []string{analysis.WarnLookNotPlanned, analysis.WarnFewAtLook, analysis.WarnSkewed} {
			if has(f.Warnings, code) {
				got = append(got, code)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: warned of %v, want %v; looks %+v", name, got, c.want, f.Looks)
		}
	}
}

// After a stop the estimate that allows for the looks comes first, the plain one is kept, later
// people do not count, and everything that is told fits: p, interval, bound and verdict.
func TestLooksSayTheSame(t *testing.T) {
	s := lookingStudy(t)
	plan := drawn(t, s)
	stops := map[int]int{}
	for seed := range uint64(60) {
		dz := float64(seed%4) * 0.3
		r := analyse(t, s, evenings(s, plan, dz, seed))
		f := r.Findings[0]
		l := f.Looks
		stops[l.Stopped]++
		last := l.Taken[len(l.Taken)-1]
		if last.Reached != (f.Test.P < s.Plan.Alpha) || last.Reached != (f.CI.Lo > 0 || f.CI.Hi < 0) {
			t.Errorf("seed %d: reached %v, p %g, interval %v", seed, last.Reached, f.Test.P, f.CI)
		}
		if last.Reached != f.Verdict.Different() {
			t.Errorf("seed %d: reached %v, verdict %s", seed, last.Reached, f.Verdict.Code)
		}
		if f.N != last.People || f.N+l.Later != 48 || !near(l.Plain.Value, last.Difference, 1e-12, 1e-12) {
			t.Errorf("seed %d: %d people and %d later; plain %g, at the look %g", seed, f.N, l.Later, l.Plain.Value,
				last.Difference)
		}
		allows := len(l.Taken) > 1
		if allows != (f.Measure == method.AfterLooks) || f.Test.Method != s.PlannedTest() {
			t.Errorf("seed %d: %d looks, %s by %s", seed, len(l.Taken), f.Measure, f.Test.Method)
		}
		if allows && math.Abs(f.Value) > math.Abs(l.Plain.Value)+1e-9 {
			t.Errorf("seed %d: %g is beyond the plain %g", seed, f.Value, l.Plain.Value)
		}
		for _, code := range []string{"estimate-after-early-look"} {
			has := slices.ContainsFunc(f.Warnings, func(w analysis.Warning) bool { return w.Code == code })
			if has != (l.Stopped > 0) {
				t.Errorf("seed %d: %s %v after a stop at %d", seed, code, has, l.Stopped)
			}
		}
	}
	if stops[0] == 0 || stops[1]+stops[2] == 0 || stops[2] == 0 {
		t.Errorf("stops %v: not all kinds of courses were seen", stops)
	}
}

// Under optional looking through the whole analysis false alarms stay at alpha and the interval
// covers: at d_z 0 and 0.4.
func TestLooksKeepTheirPromises(t *testing.T) {
	if testing.Short() {
		t.Skip("simulates")
	}
	s := lookingStudy(t)
	s.Attributes = slices.DeleteFunc(s.Attributes, func(a study.Attribute) bool { return a.ID != s.Plan.Attribute })
	plan := drawn(t, s)
	x, _ := s.Attribute(s.Plan.Attribute)
	for _, dz := range []float64{0, 0.4} {
		t.Run(fmt.Sprintf("d_z %g", dz), func(t *testing.T) {
			t.Parallel()
			n := simulated.Analyses(2000)
			truth := dz * (x.Scale.Max() - x.Scale.Min()) / 12 * math.Sqrt2
			alarms, covered := 0, 0
			for seed := range n {
				f := analyse(t, s, evenings(s, plan, dz, uint64(seed))).Findings[0]
				if f.Verdict.Different() {
					alarms++
				}
				if f.CI.Lo <= truth && truth <= f.CI.Hi {
					covered++
				}
			}
			margin := simulated.Margin(0.05, n)
			if share := float64(alarms) / float64(n); dz == 0 && share > 0.05+margin {
				t.Errorf("false alarms %.3f of %d", share, n)
			}
			if share := float64(covered) / float64(n); share < 0.95-margin {
				t.Errorf("the interval covers %.3f of %d", share, n)
			}
		})
	}
}

// What the locked plan tells of looks is what the looks then need, when as many come as planned.
func TestPlannedLooksAreThoseTaken(t *testing.T) {
	s := lookingStudy(t)
	planned, err := analysis.PlannedLooks(s)
	if err != nil || len(planned) != 3 {
		t.Fatal(planned, err)
	}
	f := analyse(t, s, evenings(s, drawn(t, s), 0, 3)).Findings[0]
	for k, l := range f.Looks.Taken {
		if l.People != planned[k].People || !near(l.Critical, planned[k].Critical, 1e-9, 0) {
			t.Errorf("look %d: %d people and %g, planned %d and %g", k+1, l.People, l.Critical, planned[k].People,
				planned[k].Critical)
		}
	}
}
