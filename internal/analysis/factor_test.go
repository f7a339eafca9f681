package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/study"
)

// crossedOf is a study of so many dishes, each under so many names, in which the first name
// against the second decides.
func crossedOf(dishes, names int) *study.Study {
	s := &study.Study{Question: study.Naming,
		Attributes: []study.Attribute{{ID: "salt", Ask: "How salty is it?",
			Scale: study.Scale{Kind: study.Line, From: -1000, To: 1000}}},
		Serving: study.Serving{Design: study.All},
		Plan: study.AnalysisPlan{EffectOf: study.NameFactor, Levels: [2]string{"n1", "n2"}, Attribute: "salt",
			Test: study.PairedT, Sides: study.TwoSided, Alpha: 0.05, Adjust: study.Holm},
	}
	for n := range names {
		s.Names = append(s.Names, study.Name{ID: study.NameID(fmt.Sprint("n", n+1)), Text: fmt.Sprint("name ", n+1)})
	}
	for d := range dishes {
		dish := study.DishID(fmt.Sprint("d", d+1))
		s.Dishes = append(s.Dishes, study.Dish{ID: dish, Title: fmt.Sprint("dish ", d+1)})
		for _, n := range s.Names {
			s.Samples = append(s.Samples, study.Sample{ID: study.SampleID(string(dish) + string(n.ID)), Dish: dish,
				Name: n.ID})
		}
	}
	return s
}

// crossedRatings are of n people: the first name rates name points more, the first dish
// dish points more, and both together another both; people differ in what the name does.
func crossedRatings(s *study.Study, n int, seed uint64, name, dish, both float64) []analysis.Rating {
	random := rand.New(rand.NewPCG(seed, 5))
	var ratings []analysis.Rating
	for i := range n {
		level, own := 10*random.NormFloat64(), 3*random.NormFloat64()
		for at, k := range random.Perm(len(s.Samples)) {
			x := s.Samples[k]
			v := level + 8*random.NormFloat64()
			first, top := x.Name == "n1", x.Dish == "d1"
			if first {
				v += name + own
			}
			if top {
				v += dish
			}
			if first && top {
				v += both
			}
			ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(i + 1), Position: at + 1, Sample: x.ID,
				Attribute: "salt", Value: v})
		}
	}
	return ratings
}

func crossedTable(s *study.Study, ratings []analysis.Rating) string {
	var b strings.Builder
	b.WriteString("assessor,dish,name,position,value\n")
	for _, r := range ratings {
		x, _ := s.Sample(r.Sample)
		fmt.Fprintf(&b, "%s,%s,%s,%d,%.17g\n", r.Assessor, x.Dish, x.Name, r.Position, r.Value)
	}
	return b.String()
}

// effectIn is the finding on a factor; of two levels where they are given.
func effectIn(t testing.TB, r *analysis.Result, f study.Factor, levels ...string) analysis.Finding {
	t.Helper()
	for _, x := range r.Findings {
		if x.Kind == analysis.KindFactor && x.Factor.Factor == f && (len(levels) == 0 ||
			slices.Equal(x.Factor.Levels, levels)) {
			return x
		}
	}
	t.Fatalf("no finding on the effect of the %s of %v", f, levels)
	return analysis.Finding{}
}

func compareAll(t *testing.T, got, want []float64, tolerance float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d numbers, R has %d", len(got), len(want))
	}
	for i := range got {
		if !near(got[i], want[i], tolerance, tolerance) {
			t.Errorf("number %d: %.12g, R says %.12g", i, got[i], want[i])
		}
	}
}

// Two by two: the square of each t is the F of aov with Error(assessor/(dish*name)), and
// estimate and interval are those of t.test on each assessor's own contrast.
func TestContrastsOfTwoByTwoAgainstR(t *testing.T) {
	s := crossedOf(2, 2)
	ratings := crossedRatings(s, 17, 1, 6, 3, 2)
	r := analyse(t, s, ratings)
	var got []float64
	for _, f := range []study.Factor{study.DishFactor, study.NameFactor, study.NameByDish} {
		x := effectIn(t, r, f)
		got = append(got, x.Test.Statistic*x.Test.Statistic, x.Test.DF, x.Test.P)
	}
	for _, f := range []study.Factor{study.NameFactor, study.NameByDish} {
		x := effectIn(t, r, f)
		got = append(got, x.Value, x.CI.Lo, x.CI.Hi)
	}
	compareAll(t, got, inR(t, `for (x in c("assessor", "dish", "name")) d[[x]] <- factor(d[[x]])
a <- summary(aov(value ~ dish * name + Error(assessor / (dish * name)), d))
for (x in c("dish", "name", "dish:name")) {
  w <- a[[paste0("Error: assessor:", x)]][[1]]
  say(w[1, "F value"], w[2, "Df"], w[1, "Pr(>F)"])
}
m <- tapply(d$value, list(d$assessor, d$dish, d$name), mean)
for (own in list((m[, 1, 1] + m[, 2, 1] - m[, 1, 2] - m[, 2, 2]) / 2, m[, 1, 1] - m[, 1, 2] - m[, 2, 1] + m[, 2, 2])) {
  h <- t.test(own)
  say(h$estimate, h$conf.int)
}`, crossedTable(s, ratings)), 1e-8)
}

// Open data that nobody here chose the numbers of: yields of three varieties of oats under
// four doses of nitrogen in six blocks (Yates 1935, J. R. Stat. Soc. Suppl. 2:181; MASS::oats),
// blocks for assessors. F tests with Greenhouse and Geisser's correction by anova.mlm.
func TestTableOfOatsAgainstR(t *testing.T) {
	needsR(t, "MASS")
	yields := inR(t, `o <- MASS::oats; say(o[order(o$B, o$V, o$N), "Y"])`, "x\n1\n")
	s := crossedOf(3, 4)
	s.Plan.Levels, s.Plan.Test = [2]string{}, study.RMAnova
	var ratings []analysis.Rating
	for i, v := range yields {
		ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i/12 + 1), Sample: s.Samples[i%12].ID,
			Attribute: "salt",
			Value:     v})
	}
	r := analyse(t, s, ratings)
	if f := r.Findings[0]; f.Role != analysis.Primary || f.Kind != analysis.KindFactor || len(f.Factor.Levels) != 4 ||
		f.Verdict.Code != analysis.DifferentSizeOpen {
		t.Errorf("the primary finding is %s on %v: %s", f.Kind, f.Factor.Levels, f.Verdict.Code)
	}
	var got []float64
	for _, x := range []analysis.Finding{effectIn(t, r, study.DishFactor, "d1", "d2", "d3"),
		effectIn(t, r, study.NameFactor, "n1", "n2", "n3", "n4"), effectIn(t, r, study.NameByDish)} {
		got = append(got, x.Test.Statistic, x.Test.P)
	}
	compareAll(t, got, inR(t, `o <- MASS::oats; o <- o[order(o$B, o$V, o$N), ]
y <- matrix(o$Y, ncol = 12, byrow = TRUE)
id <- expand.grid(N = factor(1:4), V = factor(1:3))
fit <- lm(y ~ 1)
test <- function(M, X) {
  a <- anova(fit, idata = id, M = M, X = X, test = "Spherical")
  say(a[1, "F"], a[1, "G-G Pr"])
}
test(~ V, ~ 1); test(~ N, ~ 1); test(~ N + V + N:V, ~ N + V)`, "x\n1\n"), 1e-8)
}

// By the model, for which nobody needs the whole table: lme4, lmerTest and emmeans.
func TestEffectsOfPartTablesAgainstR(t *testing.T) {
	needsR(t, "lmerTest")
	needsR(t, "emmeans")
	s := crossedOf(2, 3)
	s.Serving.Design, s.Serving.PerAssessor, s.Plan.Test = study.Some, 4, study.MixedF
	var ratings []analysis.Rating
	for _, r := range crossedRatings(s, 24, 3, 6, 2, 4) {
		if r.Position <= 4 {
			ratings = append(ratings, r)
		}
	}
	r := analyse(t, s, ratings)
	name, both := effectIn(t, r, study.NameFactor, "n1", "n2"), effectIn(t, r, study.NameByDish)
	if name.Role != analysis.Primary || name.N != 24 || name.Test.Method != method.MixedT || len(name.Excluded) != 0 ||
		len(name.Pair.Each) != 0 {
		t.Errorf("the effect rests on %d people by %s, without %v", name.N, name.Test.Method, name.Excluded)
	}
	got := []float64{name.Value, name.CI.Lo, name.CI.Hi, name.Test.DF, name.Test.P, both.Test.Statistic, both.Test.DF2,
		both.Test.P}
	compareAll(t, got, inR(t, `suppressMessages({library(lmerTest); library(emmeans)})
for (x in c("assessor", "dish", "name", "position")) d[[x]] <- factor(d[[x]])
fit <- lmer(value ~ dish * name + position + (1 | assessor), d, control = lmerControl(optCtrl = list(xtol_abs = 1e-12,
  ftol_abs = 1e-14)))
emm_options(lmer.df = "satterthwaite")
p <- summary(contrast(suppressMessages(emmeans(fit, "name")), list(x = c(1, -1, 0))), infer = TRUE)
say(p$estimate, p$lower.CL, p$upper.CL, p$df, p$p.value)
a <- anova(fit)["dish:name", ]
say(a[["F value"]], a[["DenDF"]], a[["Pr(>F)"]])`, crossedTable(s, ratings)), 1e-5)
}

// What is found first, of whom, and which pairs stand after it.
func TestEffectsStandBeforePairs(t *testing.T) {
	s := crossedOf(2, 3)
	ratings := crossedRatings(s, 20, 2, 8, 0, 0)
	ratings = slices.DeleteFunc(ratings, func(r analysis.Rating) bool {
		return r.Assessor == "7" &&
			r.Sample == "d2n1"
	})
	r := analyse(t, s, ratings)
	f := r.Findings[0]
	if f.Kind != analysis.KindFactor || f.Role != analysis.Primary || f.N != 19 || !slices.Equal(f.Factor.Levels,
		[]string{"n1", "n2"}) || len(f.Excluded) != 1 || f.Excluded[0] != (analysis.Exclusion{
		Reason: analysis.ReasonPartOfTable, Count: 1}) || f.Factor.Model == nil || f.Factor.Model.People != 20 {
		t.Errorf("first comes %s %v of %d people without %v", f.Kind, f.Factor.Levels, f.N, f.Excluded)
	}
	if other := effectIn(t, r, study.NameFactor, "n2", "n3"); other.N != 20 || other.Role != analysis.Secondary ||
		other.Family < 2 || math.IsNaN(other.Test.PAdjusted) {
		t.Errorf("of what everybody rated: %d people, %s, adjusted among %d", other.N, other.Role, other.Family)
	}
	pairs, before := 0, true
	for _, f := range r.Findings {
		switch f.Kind {
		case analysis.KindFactor:
			if !before {
				t.Errorf("the effect of the %s stands after a pair", f.Factor.Factor)
			}
		case analysis.KindPair:
			pairs++
			before = false
			a, _ := s.Sample(f.Comparison[0])
			b, _ := s.Sample(f.Comparison[1])
			if (a.Dish == b.Dish) == (a.Name == b.Name) {
				t.Errorf("%v differ in more than one thing, or in nothing", f.Comparison)
			}
		}
	}
	if pairs != 9 { // three names in each of two dishes, two dishes under each of three names
		t.Errorf("%d pairs, want 9", pairs)
	}
	if len(f.Rechecks) != 3 || !f.Rechecks[0].Agrees || f.Verdict.Code != analysis.DifferentSizeOpen {
		t.Errorf("the finding comes to %s, reckoned in %d other ways", f.Verdict.Code, len(f.Rechecks))
	}
}

// The mean over two dishes finds with 93 % power what one pair finds with 67 %: with 20
// people, and names that differ by 0.57 standard deviations of a pair.
func TestMeanOverDishesFindsMore(t *testing.T) {
	const people, studies = 20, 600
	s := crossedOf(2, 2)
	random := rand.New(rand.NewPCG(11, 12))
	over, one := 0, 0
	for range studies {
		var ratings []analysis.Rating
		for i := range people {
			for _, x := range s.Samples {
				v := random.NormFloat64()
				if x.Name == "n1" {
					v += 0.57 * math.Sqrt2
				}
				ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(i), Sample: x.ID,
					Attribute: "salt", Value: v})
			}
		}
		r := analyse(t, s, ratings)
		over += count(r.Findings[0].Test.P < s.Plan.Alpha)
		for _, f := range r.Findings {
			if f.Kind == analysis.KindPair && f.Compares([2]study.SampleID{"d1n1", "d1n2"}) {
				one += count(f.Test.P < s.Plan.Alpha)
			}
		}
	}
	for _, tc := range []struct {
		what  string
		found int
		power float64
	}{{"the mean over two dishes", over, 0.93}, {"one pair", one, 0.67}} {
		se := math.Sqrt(tc.power * (1 - tc.power) / studies)
		if got := float64(tc.found) / studies; math.Abs(got-tc.power) > 3*se+0.01 {
			t.Errorf("%s is found in %.3f of the studies, want %.2f", tc.what, got, tc.power)
		}
	}
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// Plans that ask for an effect in other ways.
func TestPlansOfEffects(t *testing.T) {
	for _, tc := range []struct {
		name   string
		plan   func(p *study.AnalysisPlan)
		method method.ID
		code   analysis.VerdictCode
	}{
		{"by ranks", func(p *study.AnalysisPlan) { p.Test = study.SignedRank }, method.SignedRank,
			analysis.DifferentSizeOpen},
		{"the other way round", func(p *study.AnalysisPlan) { p.Levels = [2]string{"n2", "n1"}; p.Sides = study.Less },
			method.PairedT, analysis.DifferentSizeOpen},
		{"against the direction", func(p *study.AnalysisPlan) { p.Sides = study.Less }, method.PairedT,
			analysis.DifferentSizeOpen},
		{"worth acting on", func(p *study.AnalysisPlan) { p.SmallestEffect = 2 }, method.PairedT,
			analysis.DifferentAct},
		{"practically the same", func(p *study.AnalysisPlan) { p.Test, p.SmallestEffect = study.Equivalence, 40 },
			method.Equivalence, analysis.Alike},
		{"by the model", func(p *study.AnalysisPlan) { p.Test = study.MixedF }, method.MixedT,
			analysis.DifferentSizeOpen},
		{"of the dish", func(p *study.AnalysisPlan) { p.EffectOf, p.Levels = study.DishFactor, [2]string{"d1", "d2"} },
			method.PairedT, analysis.Open},
		{"whether it depends", func(p *study.AnalysisPlan) { p.EffectOf, p.Levels = study.NameByDish, [2]string{} },
			method.PairedT, analysis.Open},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := crossedOf(2, 2)
			tc.plan(&s.Plan)
			f := analyse(t, s, crossedRatings(s, 40, 4, 10, 0, 0)).Findings[0]
			if f.Role != analysis.Primary || f.Kind != analysis.KindFactor || f.Test.Method != tc.method ||
				f.Verdict.Code != tc.code {
				t.Errorf("%s %s by %s: %s (%g, p %g)", f.Role, f.Kind, f.Test.Method, f.Verdict.Code, f.Value, f.Test.P)
			}
			if tc.name == "against the direction" && !f.Verdict.Against {
				t.Error("nothing says that the plan looked the other way")
			}
		})
	}
	s := crossedOf(2, 2)
	s.Samples = s.Samples[:3]
	if _, err := analysis.Analyse(s, crossedRatings(s, 10, 4, 0, 0, 0), analysis.Options{}); err == nil {
		t.Error("the effect of a name was found in samples that form no table")
	}
}

// A dry run of an effect finds as often as the size says, and as often as the level where
// there is none.
func TestDryRunOfAnEffect(t *testing.T) {
	s := exampleStudy(t, "recipe-or-name")
	plan, err := design.Draw(s, design.Options{Seed: 7})
	if err != nil {
		t.Fatal(err)
	}
	q, err := analysis.SizingOf(s)
	if err != nil {
		t.Fatal(err)
	}
	q.Spread, q.Difference = analysis.GivenSpread(14), 5
	for difference, want := range map[float64]float64{0: s.Plan.Alpha, 5: findSize(t, q).Planned.Power} {
		d := analysis.DryRun{Study: s, Plan: plan, Spread: 14, Difference: difference, Seed: 3}
		f, err := d.Often(300)
		if err != nil {
			t.Fatal(err)
		}
		if se := math.Sqrt(want * (1 - want) / 300); math.Abs(f.Share-want) > 3.5*se {
			t.Errorf("a difference of %g is found in %.3f of the studies, want %.3f", difference, f.Share, want)
		}
	}
	s.Plan.EffectOf, s.Plan.Levels, s.Plan.Test = study.NameByDish, [2]string{}, study.RMAnova
	if _, err := (analysis.DryRun{Study: s, Plan: plan, Spread: 14}).Often(1); err == nil ||
		analysis.SimulatesEffect(s) {
		t.Error("an effect that is no contrast is simulated")
	}
}
