package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// labelled is a study of k recipes rated on a scale of so many labels.
func labelled(k, labels int) *study.Study {
	s := panelOf(k)
	s.Attributes[0].Scale = study.Scale{Kind: study.Categories}
	for i := range labels {
		s.Attributes[0].Scale.Labels = append(s.Attributes[0].Scale.Labels, fmt.Sprintf("label %d", i+1))
	}
	return s
}

// answers are drawn from a cumulative logit model: people scatter by sd, each sample is so
// much higher than the one before.
func answers(random *rand.Rand, s *study.Study, n int, sd, step float64) (out []analysis.Rating) {
	labels := len(s.Attributes[0].Scale.Labels)
	for i := range n {
		u := sd * random.NormFloat64()
		for at, k := range random.Perm(len(s.Samples)) {
			p := random.Float64()
			latent := u + step*float64(k) + math.Log(p/(1-p))
			value := math.Round(latent + float64(labels+1)/2)
			out = append(out, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: at + 1, Sample: s.Samples[k].ID,
				Attribute: "salt", Value: min(float64(labels), max(1, value))})
		}
	}
	return out
}

// The odds ratios of all pairs, their intervals and p, and the shares of the answers are
// those of R, whose model has the same quadrature points. R's fits with one level or another
// first part by up to 4e-6 among themselves.
func TestOrderOfAnswersAgainstR(t *testing.T) {
	needsR(t, "ordinal")
	random := rand.New(rand.NewPCG(4, 9))
	s := labelled(3, 5)
	ratings := answers(random, s, 30, 1.3, 0.6)
	want := inR(t, `suppressMessages(library(ordinal)); d$y <- factor(d$value, 1:5)
for (pair in list(c("A", "B"), c("A", "C"), c("B", "C"))) {
  d$s <- relevel(factor(d$sample), pair[2]); m <- clmm(y ~ s + (1 | assessor), data = transform(d, assessor = `+
		`factor(assessor)), nAGQ = 10)
  e <- coef(summary(m))[paste0("s", pair[1]), ]; say(exp(e[1]), exp(e[1] + c(-1, 1) * qnorm(.975) * e[2]), e[4])
  sd <- sqrt(VarCorr(m)$assessor[1]); up <- function(eta) sapply(m$Theta, function(th) integrate(function(b) `+
		`plogis(th - eta - sd * b) * dnorm(b), -Inf, Inf, rel.tol = 1e-10)$value)
  say(diff(c(0, up(e[1]), 1)), diff(c(0, up(0), 1)))
}`, table(ratings))
	var got []float64
	for _, f := range analyse(t, s, ratings).Findings {
		if o := f.Ordinal; o != nil {
			got = append(got, o.Odds.Value, o.Odds.CI.Lo, o.Odds.CI.Hi, o.Test.P)
			got = append(append(got, o.Shares[0]...), o.Shares[1]...)
		}
	}
	agreeWithin(t, got, want, 2e-5)
}

// agreeWithin holds numbers of two optimisers together.
func agreeWithin(t *testing.T, got, want []float64, rel float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d numbers, R has %d", len(got), len(want))
	}
	for i := range want {
		if !near(got[i], want[i], rel, rel/10) {
			t.Errorf("number %d: got %.12g, R has %.12g", i, got[i], want[i])
		}
	}
}

// Two groups, one sample to each: the model without random levels.
func TestOrderOfGroupsAgainstR(t *testing.T) {
	needsR(t, "ordinal")
	random := rand.New(rand.NewPCG(5, 9))
	s := labelled(2, 4)
	s.Serving.Design, s.Plan.Test = study.One, study.Ordinal
	var ratings []analysis.Rating
	for _, r := range answers(random, s, 40, 0.5, 1) {
		if r.Position == 1 {
			ratings = append(ratings, r)
		}
	}
	want := inR(t, `suppressMessages(library(ordinal)); d$s <- relevel(factor(d$sample), "B"); `+
		`m <- clm(factor(value) ~ s, data = d)
e <- coef(summary(m))["sA", ]; say(exp(e[1]), exp(e[1] + c(-1, 1) * qnorm(.975) * e[2]), e[3], e[4])`, table(ratings))
	f := analyse(t, s, ratings).Findings[0]
	if f.Kind != analysis.KindGroups || f.Test.Method != method.Ordinal || f.Also[0].Method != method.WelchT {
		t.Fatalf("%+v", f.Test)
	}
	agreeWithin(t, []float64{f.Ordinal.Odds.Value, f.Ordinal.Odds.CI.Lo, f.Ordinal.Odds.CI.Hi, f.Test.Statistic,
		f.Test.P},
		want, 1e-6)
}

// As planned, the model decides and the t test stands beside it; else it is a check of the
// primary finding.
func TestOrderOfAnswersDecidesWhereItIsPlanned(t *testing.T) {
	s := labelled(2, 5)
	ratings := answers(rand.New(rand.NewPCG(1, 1)), s, 40, 1, 0.8)
	beside := analyse(t, s, ratings).Findings[0]
	s.Plan.Test = study.Ordinal
	planned := analyse(t, s, ratings).Findings[0]
	if planned.Test.P != beside.Ordinal.Test.P || planned.Test.Method != method.Ordinal ||
		planned.Also[0].Method != method.PairedT || planned.Value != beside.Value {
		t.Errorf("planned %+v, beside %+v", planned.Test, beside.Ordinal.Test)
	}
	found := false
	for _, r := range beside.Rechecks {
		if r.Method == method.Ordinal {
			found = true
			if r.P != planned.Test.P || r.Lean != signOf(math.Log(beside.Ordinal.Odds.Value)) || !r.Agrees {
				t.Errorf("%+v", r)
			}
		}
	}
	if !found {
		t.Error("no check by the order of the answers")
	}
	for _, r := range planned.Rechecks {
		if r.Method == method.Ordinal {
			t.Errorf("checked by itself: %+v", r)
		}
		if r.Method == "" {
			rest := analyse(t, s, without(ratings, withoutWhom(r.What))).Findings[0]
			if r.P != rest.Test.P || rest.Test.Method != method.Ordinal {
				t.Errorf("%+v, an analysis of the rest has %+v", r, rest.Test)
			}
		}
	}
}

func withoutWhom(what string) (who string) {
	fmt.Sscanf(what, "without assessor %s", &who)
	return who[:len(who)-1]
}

func signOf(v float64) int {
	if v > 0 {
		return 1
	}
	return -1
}

// Answers that the model cannot bear give a warning and another test, never a panic.
func TestAnswersWithoutAModel(t *testing.T) {
	for name, value := range map[string]func(i, k int) float64{
		"all the same":    func(i, k int) float64 { return 3 },
		"wholly apart":    func(i, k int) float64 { return float64(2 + 2*k) },
		"a label unused":  func(i, k int) float64 { return float64(1 + (i+k)%2*3) },
		"a step for each": func(i, k int) float64 { return float64(1 + i%3 + k) },
	} {
		s := labelled(2, 5)
		s.Plan.Test = study.Ordinal
		var ratings []analysis.Rating
		for i := range 24 {
			for k, x := range s.Samples {
				ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i), Position: 1 + (i+k)%2, Sample: x.ID,
					Attribute: "salt", Value: value(i, k)})
			}
		}
		f := analyse(t, s, ratings).Findings[0]
		if (f.Ordinal == nil) != hasWarning(f.Warnings, analysis.WarnNoOrdinal) || f.Ordinal == nil &&
			f.Test.Method == method.Ordinal {
			t.Errorf("%s: %+v %v", name, f.Test, f.Warnings)
		}
		if name == "all the same" && f.Ordinal != nil || name == "a label unused" && f.Ordinal == nil {
			t.Errorf("%s: %+v", name, f.Ordinal)
		}
		if o := f.Ordinal; o != nil {
			for k := range o.Shares {
				sum, count := 0.0, 0
				for i, share := range o.Shares[k] {
					sum += share
					count += o.Counts[k][i]
					if o.Counts[0][i]+o.Counts[1][i] == 0 && share != 0 {
						t.Errorf("%s: a share of %g for a label that nobody chose", name, share)
					}
				}
				if !near(sum, 1, 1e-9, 0) || count != 24 {
					t.Errorf("%s: shares add up to %g, counts to %d", name, sum, count)
				}
			}
		}
	}
}

func BenchmarkOrdinal(b *testing.B) {
	s := labelled(2, 5)
	ratings := answers(rand.New(rand.NewPCG(1, 1)), s, 40, 1, 0.8)
	for b.Loop() {
		analyse(b, s, ratings)
	}
}
