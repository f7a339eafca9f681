package analysis_test

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/design"
	"cloche/internal/simulated"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
	"cloche/internal/study"
)

const (
	saltFile    = "../../studies/salt-by-the-gram.yaml"
	saltRatings = "../../studies/salt-by-the-gram-ratings.csv"
)

var writeSalt = flag.Bool("write-salt", false, "write the invented ratings of studies/salt-by-the-gram.yaml anew")

// saltSeed is the first from 1 whose intervals all hold the truth and whose name is clear.
const saltSeed = 2

// saltTruth is what holds in the invented panel: 6 points of saltiness a gram, and 6 points
// for the name at 8 g, which is 1 g a litre. Liking is highest at 8 g.
func saltTruth() analysis.Truth {
	salty, liked := map[study.SampleID]float64{"N": 6}, map[study.SampleID]float64{"N": 3}
	for i, id := range []study.SampleID{"A", "B", "C", "D", "E"} {
		off := float64(i - 2)
		salty[id], liked[id] = 6*off, -2*off*off
	}
	return analysis.Truth{"saltiness": {Mean: 47, Effects: salty, AssessorSD: 12, SampleSD: 4, RatingSD: 6},
		"liking": {Mean: 58, Effects: liked, AssessorSD: 12, SampleSD: 6, RatingSD: 6}}
}

func saltStudy(t testing.TB) (*study.Study, *design.Plan) {
	t.Helper()
	s := parseStudy(t, saltFile)
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	return s, plan
}

// The invented ratings are those of the truth that the study file states, and their
// findings hold it: the slope, and what the name is worth in grams.
func TestSaltFindsItsTruth(t *testing.T) {
	s, plan := saltStudy(t)
	ratings := analysis.Simulate(s, plan, saltTruth(), saltSeed)
	if *writeSalt {
		var b bytes.Buffer
		if err := analysistest.WriteCSV(&b, s, ratings); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(saltRatings, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept := readRatings(t, saltRatings, s)
	r, err := analysis.Analyse(s, kept, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	again, err := analysis.Analyse(s, ratings, analysis.Options{})
	if err != nil || !reflect.DeepEqual(again.Findings[0].Estimate, r.Findings[0].Estimate) {
		t.Errorf("the file holds other ratings than the truth gives: %v", err)
	}
	name, line := r.Findings[0], r.Findings[1]
	if name.Kind != analysis.KindNamedDose || name.Role != analysis.Primary || line.Kind != analysis.KindDose {
		t.Fatalf("%s, %s", name.Kind, line.Kind)
	}
	if !(name.CI.Lo < 1 && 1 < name.CI.Hi) || name.Value < 0.3 {
		t.Errorf("the name is worth %v (%v), in truth 1 g", name.Value, name.CI)
	}
	if !(line.CI.Lo < 6 && 6 < line.CI.Hi) || line.Value < 4 {
		t.Errorf("a gram adds %v (%v), in truth 6 points", line.Value, line.CI)
	}
	if x := line.Dose.Sought; x == nil || !(x.CI.Lo < 8.5 && 8.5 < x.CI.Hi) {
		t.Errorf("50 points are sought at %+v, in truth at 8.5 g", x)
	}
}

// What the analysis says is what the functions of package dose say, which stand against
// reference values.
func TestDoseIsTheReferencedOne(t *testing.T) {
	t.Parallel()
	s, plan := saltStudy(t)
	ratings := analysis.Simulate(s, plan, saltTruth(), 5)
	r, err := analysis.Analyse(s, ratings, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := r.Findings[0]
	series := dose.Series{Levels: []float64{6, 7, 8, 9, 10}}
	var named []float64
	for _, x := range f.Dose.Each {
		series.Plain, named = append(series.Plain, x.Ratings), append(named, x.Laid)
	}
	want, err := dose.EquivalentDose(series, named, 8, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if f.Value != want.Dose || f.CI != want.Fieller.CI || f.Test.P != want.Shift.P {
		t.Errorf("%v %v %v, want %v %v %v", f.Value, f.CI, f.Test.P, want.Dose, want.Fieller.CI, want.Shift.P)
	}
	if f.Checks[0].P != want.Lines.Straight.P {
		t.Errorf("straightness %v, want %v", f.Checks[0].P, want.Lines.Straight.P)
	}
}

// In a complete series the mean of people's slopes is the slope of the mixed model with a
// slope of each person's own, and so are its error and degrees of freedom.
func TestDoseLinesAreTheMixedModel(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 4))
	series := dose.Series{Levels: []float64{2, 3, 5, 6}}
	var y, x []float64
	var who []int
	for i := range 20 {
		level, slope := 50+10*random.NormFloat64(), 6+3*random.NormFloat64()
		var row []float64
		for _, at := range series.Levels {
			v := level + slope*(at-4) + 4*random.NormFloat64()
			row, y, x, who = append(row, v), append(y, v), append(x, at-4), append(who, i)
		}
		series.Plain = append(series.Plain, row)
	}
	lines, err := dose.PeopleLines(series, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	levels := make([]string, 20)
	for i := range levels {
		levels[i] = string(rune('a' + i))
	}
	fit, err := mixed.Fit(mixed.Model{Fixed: []model.Term{{"amount"}},
		Random: []mixed.RandomTerm{{Group: model.Term{"who"}, Slopes: model.Term{"amount"}}},
		Data: model.Data{Response: y, Factors: []model.Factor{{Name: "who", Levels: levels, Code: who}},
			Covariates: []model.Covariate{{Name: "amount", Values: x}}}})
	if err != nil || fit.Singular {
		t.Fatal(err, fit.Singular)
	}
	got := fit.Fixed[1]
	if !nearTo(got.Estimate, lines.Slope.Value) || !nearTo(got.SE, lines.Slope.SE) || !nearTo(got.DF, lines.Slope.DF) {
		t.Errorf("model %v ± %v on %v df; lines %v ± %v on %v df", got.Estimate, got.SE, got.DF, lines.Slope.Value,
			lines.Slope.SE, lines.Slope.DF)
	}
	e := dose.MeansOf(lines.Middles, lines.Slopes)
	if !nearTo(fit.Covariance(0, 1), e.Cov) || !nearTo(fit.Covariance(0, 0), e.VarA) {
		t.Errorf("covariance %v, want %v; variance of the level %v, want %v", fit.Covariance(0, 1), e.Cov,
			fit.Covariance(0, 0), e.VarA)
	}
}

func nearTo(a, b float64) bool { return math.Abs(a-b) <= 1e-4*(1+math.Abs(b)) }

// The order of assessors and of rows is without effect.
func TestDoseOrderIsWithoutEffect(t *testing.T) {
	t.Parallel()
	s, plan := saltStudy(t)
	ratings := analysis.Simulate(s, plan, saltTruth(), 9)
	for _, drop := range []int{0, 11} { // whole, and with a hole that takes the model
		ratings := ratings[drop:]
		want, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		mixedUp := append([]analysis.Rating{}, ratings...)
		random := rand.New(rand.NewPCG(1, 2))
		random.Shuffle(len(mixedUp), func(i, j int) { mixedUp[i], mixedUp[j] = mixedUp[j], mixedUp[i] })
		got, err := analysis.Analyse(s, mixedUp, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range want.Findings {
			a, b := want.Findings[i], got.Findings[i]
			if saidOf(a) != saidOf(b) {
				t.Errorf("without the first %d: %v (%v) became %v (%v)", drop, a.Value, a.CI, b.Value, b.CI)
			}
		}
	}
}

// saidOf is what a finding says, pointers followed.
func saidOf(f analysis.Finding) string {
	text := fmt.Sprint(f.Estimate, f.Test, f.Checks, f.Verdict, f.Warnings, f.Dose.Steps, f.Dose.Each, f.Dose.Slope)
	if f.Dose.Laid != nil {
		text += fmt.Sprintf("%+v", *f.Dose.Laid)
	}
	if f.Dose.Sought != nil {
		text += fmt.Sprintf("%+v", *f.Dose.Sought)
	}
	return text
}

// With ratings missing the model of all ratings answers, near what the whole series says.
func TestDoseWithMissingRatings(t *testing.T) {
	t.Parallel()
	s, plan := saltStudy(t)
	whole := analysis.Simulate(s, plan, saltTruth(), 12)
	var some []analysis.Rating
	for i, x := range whole {
		if i%9 != 0 {
			some = append(some, x)
		}
	}
	all, err := analysis.Analyse(s, whole, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := analysis.Analyse(s, some, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range r.Findings[:2] {
		if f.Dose.Complete || math.IsNaN(f.Value) || math.Abs(f.Value-all.Findings[i].Value) > 1 {
			t.Errorf("%s: %v, whole %v (complete %v)", f.Kind, f.Value, all.Findings[i].Value, f.Dose.Complete)
		}
	}
}

// A panel that does not tell the amounts apart gets no grams, whatever the name did.
func TestDoseUnclearIsToldAsUnbounded(t *testing.T) {
	t.Parallel()
	s, plan := saltStudy(t)
	truth := saltTruth()
	flat := truth["saltiness"]
	flat.Effects = map[study.SampleID]float64{"N": 10}
	truth["saltiness"] = flat
	r, err := analysis.Analyse(s, analysis.Simulate(s, plan, truth, 4), analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := r.Findings[0]
	if !f.CI.Absent() || f.Dose.Laid.Shape == dose.Bounded || !warned(f, analysis.WarnSlopeUnclear) {
		t.Errorf("%v, %s, %v", f.CI, f.Dose.Laid.Shape, f.Warnings)
	}
}

func warned(f analysis.Finding, code string) bool {
	for _, w := range f.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// What is bent, ends at the edge of the scale or lies outside the series is told.
func TestDoseWarnings(t *testing.T) {
	t.Parallel()
	s, plan := saltStudy(t)
	bent := saltTruth()
	bent["saltiness"] = bent["liking"]
	outside := saltTruth()
	x := outside["saltiness"]
	x.Effects = map[study.SampleID]float64{"A": -12, "B": -6, "D": 6, "E": 12, "N": 30}
	outside["saltiness"] = x
	high := saltTruth()
	x = high["saltiness"]
	x.Mean = 96
	high["saltiness"] = x
	for code, truth := range map[string]analysis.Truth{analysis.WarnNotStraight: bent,
		analysis.WarnOutsideRange: outside, analysis.WarnCeiling: high} {
		r, err := analysis.Analyse(s, analysis.Simulate(s, plan, truth, 3), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !warned(r.Findings[0], code) {
			t.Errorf("no %s: %v", code, r.Findings[0].Warnings)
		}
	}
	far := *s
	want := 95.0
	far.Plan.WantedRating = &want
	r, err := analysis.Analyse(&far, analysis.Simulate(s, plan, saltTruth(), 3), analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !warned(r.Findings[1], analysis.WarnSeriesShort) {
		t.Errorf("a rating out of reach: %v", r.Findings[1].Warnings)
	}
}

func BenchmarkAmounts(b *testing.B) {
	s, _ := saltStudy(b)
	s.Panel.Assessors, s.Panel.Sittings = 200, 2
	plan, err := design.Draw(s, design.Options{Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	ratings := analysis.Simulate(s, plan, saltTruth(), 1)
	for name, ratings := range map[string][]analysis.Rating{"whole": ratings, "with a hole": ratings[3:]} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := analysis.Analyse(s, ratings, analysis.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestNamedDoseSetCovers: through the whole analysis, whatever the shape of the set, it holds
// what the name is worth as often as it says, with amounts that are told apart well and with
// such as are hardly.
func TestNamedDoseSetCovers(t *testing.T) {
	t.Parallel()
	s, plan := saltStudy(t)
	s.Attributes = s.Attributes[:1]
	s.Plan.WantedRating = nil
	n := simulated.Analyses(4000)
	for name, slope := range map[string]float64{"told apart": 6, "hardly told apart": 0.6} {
		held, bounded := 0, 0
		truth := saltTruth()
		salty := truth["saltiness"]
		salty.Effects = map[study.SampleID]float64{"N": slope}
		for i, id := range []study.SampleID{"A", "B", "C", "D", "E"} {
			salty.Effects[id] = slope * float64(i-2)
		}
		truth["saltiness"] = salty
		for i := range n {
			r, err := analysis.Analyse(s, analysis.Simulate(s, plan, truth, uint64(1000+i)), analysis.Options{})
			if err != nil {
				t.Fatal(err)
			}
			set := r.Findings[0].Dose.Laid.Fieller
			switch set.Shape {
			case dose.Bounded:
				bounded++
				fallthrough
			case dose.OneRay:
				held += map[bool]int{true: 1}[set.CI.Lo <= 1 && 1 <= set.CI.Hi]
			case dose.TwoRays:
				held += map[bool]int{true: 1}[1 <= set.Excluded.Lo || set.Excluded.Hi <= 1]
			case dose.WholeLine:
				held++
			}
		}
		t.Logf("%s: %d of %d sets hold 1 g, %d have two ends", name, held, n, bounded)
		if share := float64(held) / float64(n); math.Abs(share-0.95) > 0.005+simulated.Margin(0.95, n) {
			t.Errorf("%s: %d of %d sets hold what the name is worth", name, held, n)
		}
	}
}
