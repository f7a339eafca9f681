package analysis_test

import (
	"bytes"
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/design"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

const (
	profileFile    = "../../studies/custard-profile.yaml"
	profileRatings = "../../studies/custard-profile-ratings.csv"
)

var writeProfile = flag.Bool("write-profile", false, "write the ratings of studies/custard-profile.yaml anew")

// profileSeed is the first from 1 whose findings hold every part of the truth.
const profileSeed = 1

func profileTruth() analysis.Truth {
	on := func(mean float64, id study.SampleID, effect float64) analysis.TrueAttribute {
		return analysis.TrueAttribute{Mean: mean, Effects: map[study.SampleID]float64{id: effect}, AssessorSD: 8,
			SampleSD: 3, RatingSD: 5}
	}
	return analysis.Truth{"smokiness": on(25, "S", 30), "sweetness": on(35, "R", 16), "fattiness": on(45, "B", 12),
		"saltiness": on(40, "P", 0)}
}

// inventProfile makes the ratings that the study file states, with three people in them who
// have something to practise.
func inventProfile(s *study.Study, plan *design.Plan, seed uint64) []analysis.Rating {
	ratings := analysis.Simulate(s, plan, profileTruth(), seed)
	random := rand.New(rand.NewPCG(seed, 4))
	for i := range ratings {
		r := &ratings[i]
		switch {
		case r.Assessor == "4" && r.Attribute == "smokiness":
			r.Value = math.Round(30 + 5*random.NormFloat64())
		case r.Assessor == "7" && r.Attribute == "sweetness":
			r.Value = 100 - r.Value
		case r.Assessor == "9":
			r.Value = min(100, max(0, math.Round(r.Value+18*random.NormFloat64())))
		}
	}
	return ratings
}

func profileStudy(t testing.TB) (*study.Study, *design.Plan) {
	t.Helper()
	s := parseStudy(t, profileFile)
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	return s, plan
}

// The invented ratings are those of the truth that the study file states, and the findings
// hold it: three attributes tell the custards apart and one does not, and three people have
// what the file says to practise.
func TestProfileFindsItsTruth(t *testing.T) {
	s, plan := profileStudy(t)
	ratings := inventProfile(s, plan, profileSeed)
	if *writeProfile {
		var b bytes.Buffer
		if err := analysistest.WriteCSV(&b, s, ratings); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(profileRatings, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept := readRatings(t, profileRatings, s)
	r, err := analysis.Analyse(s, kept, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	again, err := analysis.Analyse(s, ratings, analysis.Options{})
	if err != nil || again.Findings[0].Test.P != r.Findings[0].Test.P {
		t.Errorf("the file holds other ratings than the truth gives: %v", err)
	}
	if f := r.Findings[0]; f.Kind != analysis.KindPanel || f.Role != analysis.Primary || f.Attribute != "smokiness" {
		t.Fatalf("%s, %s, %s", f.Kind, f.Role, f.Attribute)
	}
	m := r.Profile.Map
	if m == nil {
		t.Fatal(r.Profile.NoMap)
	}
	if !slices.Equal(m.Left, []study.AttributeID{"saltiness"}) || m.N != 10 || len(m.Attributes) != 3 {
		t.Errorf("the map leaves out %v and is of %d people", m.Left, m.N)
	}
	for _, on := range r.Profile.Panel {
		if on.One.CI.Absent() || !(on.Repeatability > 3 && on.Repeatability < 12) || on.N != 10 {
			t.Errorf("the panel on %s: %+v", on.Attribute, on)
		}
	}
	needs := needed(t, s, kept)
	for _, want := range []need{{"4", "smokiness", analysis.PracticeTelling},
		{"7", "sweetness", analysis.PracticeDirection}, {"9", "smokiness", analysis.PracticeRepeating}} {
		if !slices.Contains(needs, want) {
			t.Errorf("%v is not found; found %v", want, needs)
		}
	}
	if len(needs) > 12 {
		t.Errorf("%d hints to practise of 40 places: %v", len(needs), needs)
	}
}

type need struct {
	who  string
	on   study.AttributeID
	what analysis.Practice
}

func checked(t testing.TB, s *study.Study, ratings []analysis.Rating) *analysis.PanelCheck {
	t.Helper()
	r, err := analysis.Analyse(s, ratings, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	c, err := analysis.CheckPanel(s, ratings, analysis.Options{}, r)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func needed(t *testing.T, s *study.Study, ratings []analysis.Rating) (all []need) {
	t.Helper()
	c := checked(t, s, ratings)
	for _, who := range c.Assessors {
		for k, on := range who.On {
			for _, x := range on.Needs {
				all = append(all, need{who.Assessor, s.Attributes[k].ID, x})
			}
		}
	}
	return all
}

// Neither the order of the answers nor that of the assessors' numbers changes what is found.
func TestProfileOrderWithoutEffect(t *testing.T) {
	t.Parallel()
	s, plan := profileStudy(t)
	for seed := range uint64(5) {
		ratings := inventProfile(s, plan, 100+seed)
		want, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		random := rand.New(rand.NewPCG(seed, 1))
		random.Shuffle(len(ratings), func(i, j int) { ratings[i], ratings[j] = ratings[j], ratings[i] })
		got, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i, on := range want.Profile.Panel {
			if g := got.Profile.Panel[i]; on.P != g.P || on.One.Value != g.One.Value {
				t.Errorf("seed %d, %s: %v, shuffled %v", seed, on.Attribute, on, g)
			}
		}
		if (want.Profile.Map == nil) != (got.Profile.Map == nil) {
			t.Fatalf("seed %d: a map for one order only", seed)
		}
		for i, x := range want.Profile.Map.Samples {
			if g := got.Profile.Map.Samples[i]; math.Abs(g.X-x.X)+math.Abs(g.Major-x.Major) > 1e-9 {
				t.Errorf("seed %d, %s: %v, shuffled %v", seed, x.Sample, x, g)
			}
		}
	}
}

// What the data do not bear is said, and is no number.
func TestProfileOfThinData(t *testing.T) {
	t.Parallel()
	s, plan := profileStudy(t)
	all := analysis.Simulate(s, plan, profileTruth(), 3)
	keep := func(ok func(analysis.Rating) bool) []analysis.Rating {
		return slices.DeleteFunc(slices.Clone(all), func(r analysis.Rating) bool { return !ok(r) })
	}
	for name, tc := range map[string]struct {
		ratings []analysis.Rating
		code    string // of the map's absence, or of a warning of the study
	}{
		"once each":     {keep(func(r analysis.Rating) bool { return r.Sitting == 1 }), analysis.WarnNoReplicates},
		"one person":    {keep(func(r analysis.Rating) bool { return r.Assessor == "1" }), analysis.WarnNoMap},
		"one attribute": {keep(func(r analysis.Rating) bool { return r.Attribute == "smokiness" }), analysis.WarnNoMap},
		"two samples": {keep(func(r analysis.Rating) bool { return r.Sample == "P" || r.Sample == "S" }),
			analysis.WarnNoMap},
		"one answer": {all[:1], analysis.WarnNoMap},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := analysis.Analyse(s, tc.ratings, analysis.Options{})
			if err != nil {
				t.Fatal(err)
			}
			has := r.Profile.NoMap.Code == tc.code || slices.ContainsFunc(r.Warnings,
				func(w analysis.Warning) bool { return w.Code == tc.code })
			if !has {
				t.Errorf("no %s: %+v, %v", tc.code, r.Profile.NoMap, r.Warnings)
			}
			c := checked(t, s, tc.ratings)
			if name != "two samples" && name != "one attribute" && c.Repeats > 0 {
				t.Errorf("%d checks of repeats", c.Repeats)
			}
		})
	}
	if _, err := analysis.CheckPanel(s, all, analysis.Options{}, &analysis.Result{}); !errors.Is(err,
		analysis.ErrNoAnalysis) {
		t.Errorf("assessors of a samples study: %v", err)
	}
}

// A panel of able assessors is told to repeat better as often as the level says, and hardly
// ever to tell samples apart or to turn around: theirs follow the others' all the way.
func TestCheckPanelErrsAsOftenAsItSays(t *testing.T) {
	t.Parallel()
	s, plan := profileStudy(t)
	found, checks := map[analysis.Practice]int{}, 0
	for seed := range uint64(simulated.Panels(40)) {
		for _, who := range checked(t, s, analysis.Simulate(s, plan, profileTruth(), 1000+seed)).Assessors {
			for _, on := range who.On {
				checks++
				for _, need := range on.Needs {
					found[need]++
				}
			}
		}
	}
	const alpha = 0.05
	n := found[analysis.PracticeRepeating]
	if share := float64(n) / float64(checks); math.Abs(share-alpha) > simulated.Margin(alpha, checks) {
		t.Errorf("%d of %d able assessors are said to waver", n, checks)
	}
	if n := found[analysis.PracticeTelling] + found[analysis.PracticeDirection]; n > checks/40 {
		t.Errorf("%d of %d able assessors are said to tell samples apart too little", n, checks)
	}
}
