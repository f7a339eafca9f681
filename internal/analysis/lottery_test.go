package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/lottery"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

func custardStudy(t testing.TB) (*study.Study, []analysis.Rating, *design.Plan) {
	t.Helper()
	text, err := os.ReadFile("../../studies/celeriac-custard.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse("celeriac-custard.yaml", text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	rows, err := os.Open("../../studies/celeriac-custard-ratings.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	ratings, problems := analysis.ReadCSV("ratings.csv", rows, s, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	return s, ratings, plan
}

// Saltiness of the custard: the draws come to what all 2²⁰ ways to swap the blocks of two
// give, by sign flips of the blocks' sums. The t test is surer: in this study the two
// people of a block happen to differ alike, which only the lottery holds against it.
func TestCustardByItsLottery(t *testing.T) {
	s, ratings, plan := custardStudy(t)
	byT := analyse(t, s, ratings).Findings[0]
	s.Plan.Test = study.Lottery
	f := analyseDrawn(t, s, ratings, plan).Findings[0]
	sums, zero := make([]float64, 20), make([]float64, 20)
	var first, second []float64
	for i, v := range f.Pair.Each {
		d := v.First - v.Second
		if sums[i/2] += d; i%2 == 0 {
			first = append(first, d)
		} else {
			second = append(second, d)
		}
	}
	all, err := ttest.SignFlip(sums, zero, ttest.SignFlipOptions{})
	if err != nil || !all.Exact {
		t.Fatal(err, all)
	}
	if f.Test.Method != method.Lottery || math.Abs(f.Test.P-all.TwoSided) > 0.002 {
		t.Errorf("%+v, and all draws give %g", f.Test, all.TwoSided)
	}
	within := correlation(first, second)
	if !near(byT.Test.P, 0.0024, 0.03, 0) || !near(f.Test.P, 0.021, 0.05, 0) || !near(within, 0.63, 0.01, 0) {
		t.Errorf("the doc of stats/lottery says otherwise: %g, %g, %g", byT.Test.P, f.Test.P, within)
	}
	if f.Value != byT.Value || !near(f.Test.Statistic, byT.Test.Statistic, 1e-12, 0) || f.Also[0].P != byT.Test.P {
		t.Errorf("%+v beside %+v", f, byT)
	}
	if f.CI.Lo >= byT.CI.Lo || f.CI.Hi <= byT.CI.Hi || f.CI.Level != 0.95 {
		t.Errorf("interval %v beside that of the t test %v", f.CI, byT.CI)
	}
}

func correlation(x, y []float64) float64 {
	mx, my, xx, yy, xy := stats.Mean(x), stats.Mean(y), 0.0, 0.0, 0.0
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		yy += (y[i] - my) * (y[i] - my)
		xy += (x[i] - mx) * (y[i] - my)
	}
	return xy / math.Sqrt(xx*yy)
}

func analyseDrawn(t testing.TB, s *study.Study, ratings []analysis.Rating, plan *design.Plan) *analysis.Result {
	t.Helper()
	r, err := analysis.Analyse(s, ratings, analysis.Options{Lottery: &analysis.Lottery{Plan: plan}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Beside another test the lottery is a check of the primary finding alone, which finds
// what it would find as the planned test.
func TestLotteryStandsBeside(t *testing.T) {
	s, ratings, plan := custardStudy(t)
	r := analyseDrawn(t, s, ratings, plan)
	s.Plan.Test = study.Lottery
	want := analyseDrawn(t, s, ratings, plan).Findings[0]
	checks := 0
	for i, f := range r.Findings {
		for _, x := range f.Rechecks {
			if x.Method != method.Lottery {
				continue
			}
			if checks++; i > 0 || !near(x.P, want.Test.P, 0, 0.006) || !near(x.CI.Lo, want.CI.Lo, 0, 0.3) ||
				x.Value != want.Value || x.N != want.N || !x.Agrees {
				t.Errorf("finding %d: %+v, and as planned %+v %v", i, x, want.Test, want.CI)
			}
		}
	}
	if checks != 1 {
		t.Errorf("%d checks by the lottery", checks)
	}
}

// Without the plan, or where its draw cannot part the two, a t test stands in and says so.
func TestWhereThereIsNoLottery(t *testing.T) {
	s, ratings, plan := custardStudy(t)
	s.Plan.Test = study.Lottery
	other := append([]analysis.Rating{}, ratings...)
	other[0].Position = 0
	strange := append([]analysis.Rating{}, ratings...)
	for i := range strange {
		strange[i].Assessor = "guest " + strange[i].Assessor
	}
	for name, r := range map[string]*analysis.Result{
		"no plan":            analyse(t, s, ratings),
		"a position missing": analyseDrawn(t, s, other, plan),
		"people of no plan":  analyseDrawn(t, s, strange, plan),
		"a plan of four":     analyseDrawn(t, s, ratings, planOf(t, panelOf(4), 40)),
	} {
		f := r.Findings[0]
		if f.Test.Method != method.PairedT || f.Drawn != nil || !hasWarning(f.Warnings, analysis.WarnNoLottery) {
			t.Errorf("%s: %+v %v", name, f.Test, f.Warnings)
		}
	}
}

func planOf(t testing.TB, s *study.Study, assessors int) *design.Plan {
	t.Helper()
	if s.Serving.Replicates == 0 {
		s.Serving.Replicates = 1
	}
	s.Panel.Assessors, s.Panel.Sittings = assessors, 1
	plan, err := design.Draw(s, design.Options{Seed: 17, Assessors: assessors})
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

// A small plan says that its lottery can find nothing.
func TestFewDrawsAreTold(t *testing.T) {
	s := panelOf(2)
	s.Plan.Test = study.Lottery
	plan := planOf(t, s, 8)
	var ratings []analysis.Rating
	for _, v := range plan.Servings {
		ratings = append(ratings, analysis.Rating{Assessor: analysis.AssessorLabel(int(v.Assessor)),
			Position: int(v.Position),
			Sample:   plan.Samples[v.Sample], Attribute: "salt", Value: float64(60 - 30*v.Sample + v.Assessor)})
	}
	f := analyseDrawn(t, s, ratings, plan).Findings[0]
	if !hasWarning(f.Warnings, analysis.WarnFewDraws) || f.Test.P != 2.0/16 || f.Verdict.Different() ||
		!f.CI.Absent() || !strings.HasSuffix(f.Test.Title, ", exact") {
		t.Errorf("%+v %v %v", f.Test, f.CI, f.Warnings)
	}
}

// Redrawn by the very engine, four samples with a gain from each position to the next and
// one ruined part of the evening: the level is held.
func TestLotteryHoldsItsLevel(t *testing.T) {
	s := panelOf(4)
	random := rand.New(rand.NewPCG(7, 7))
	const studies, draws = 300, 99
	found := 0
	for k := range studies {
		s.Panel.Assessors, s.Panel.Sittings = 13, 1
		plan, err := design.Draw(s, design.Options{Seed: uint64(k)})
		if err != nil {
			t.Fatal(err)
		}
		d, err := design.Redraw(s, plan, uint64(k)+1e6)
		if err != nil {
			t.Fatal(err)
		}
		trial := lottery.Trial{First: 0, Second: 2}
		for _, v := range plan.Servings {
			value := 4*random.ExpFloat64() + 3*float64(v.Position) + 10*float64(v.Assessor/6)*float64(v.Position%2)
			if random.IntN(15) == 0 {
				value = math.NaN()
			}
			trial.Value, trial.Assessor = append(trial.Value, value), append(trial.Assessor, int(v.Assessor))
			trial.Sample = append(trial.Sample, v.Sample)
		}
		r, err := lottery.Test(d, draws, trial)
		if err != nil {
			t.Fatal(err)
		}
		if r[0].TwoSided <= 0.1 {
			found++
		}
	}
	if share := float64(found) / studies; math.Abs(share-0.1) > 4*math.Sqrt(0.09/studies) {
		t.Errorf("found in a share of %g of studies without a difference", share)
	}
}

func BenchmarkLottery(b *testing.B) {
	for _, size := range [][2]int{{40, 2}, {60, 4}} {
		s := panelOf(size[1])
		plan := planOf(b, s, size[0])
		ratings := analysis.Simulate(s, plan, analysis.Truth{}, 3)
		for _, test := range []study.Test{study.PairedT, study.Lottery} {
			s.Plan.Test = test
			b.Run(fmt.Sprintf("%s/assessors=%d/samples=%d", test, size[0], size[1]), func(b *testing.B) {
				for b.Loop() {
					analyseDrawn(b, s, ratings, plan)
				}
			})
		}
	}
}
