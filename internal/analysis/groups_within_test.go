package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// apart are two groups of people with one sample each, in strata that rate differently, or
// in none; the second sample is lower by a difference.
func apart(n, strata int, difference float64, seed uint64) (*study.Study, []analysis.Rating, string) {
	s := panelOf(2)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: -1000, To: 1000}
	s.Serving.Design = study.One
	s.Plan.Test = study.WelchT
	if strata > 0 {
		s.Serving.Strata = []study.Stratum{{ID: "guest"}}
		for h := range strata {
			s.Serving.Strata[0].Levels = append(s.Serving.Strata[0].Levels, strconv.Itoa(h))
		}
	}
	random := rand.New(rand.NewPCG(seed, uint64(n)))
	var ratings []analysis.Rating
	var table strings.Builder
	table.WriteString("sample,stratum,value\n")
	for i := range n {
		x, h := i%2, i*i/7%max(1, strata)
		v := 20*float64(h) - difference*float64(x) + (4+2*float64(x))*random.NormFloat64()
		r := analysis.Rating{Assessor: strconv.Itoa(i + 1), Position: 1, Sample: s.Samples[x].ID, Attribute: "salt",
			Value: v}
		if strata > 0 {
			r.Stratum = "s" + strconv.Itoa(h)
		}
		ratings = append(ratings, r)
		fmt.Fprintf(&table, "%s,s%d,%.17g\n", s.Samples[x].ID, h, v)
	}
	return s, ratings, table.String()
}

// Two one-sided Welch tests, and within strata two of the linear model: t.test and lm.
func TestEquivalenceOfGroupsAgainstR(t *testing.T) {
	const margin = 4
	for _, tc := range []struct {
		strata  int
		method  method.ID
		program string
	}{
		{0, method.EquivalenceWelch, `x <- d$value[d$sample == "A"]; y <- d$value[d$sample == "B"]
lo <- t.test(x, y, mu = -4, alternative = "greater"); hi <- t.test(x, y, mu = 4, alternative = "less")
w <- if (lo$p.value > hi$p.value) lo else hi
say(w$statistic, w$parameter, w$p.value, t.test(x, y, conf.level = 0.9)$conf.int, t.test(x, y)$p.value)`},
		{3, method.EquivalenceWithin, `d$sample <- factor(d$sample, levels = c("B", "A")); m <- lm(value ~ stratum + ` +
			`sample, d)
b <- coef(m)[["sampleA"]]; se <- sqrt(vcov(m)["sampleA", "sampleA"]); df <- m$df.residual
lo <- (b + 4) / se; hi <- (b - 4) / se; p <- c(pt(lo, df, lower.tail = FALSE), pt(hi, df))
say(c(lo, hi)[which.max(p)], df, max(p), confint(m, "sampleA", level = 0.9), summary(m)$coefficients["sampleA", 4])`},
	} {
		s, ratings, table := apart(64, tc.strata, 1.5, 5)
		s.Plan.Test, s.Plan.SmallestEffect = study.Equivalence, margin
		f := analyse(t, s, ratings).Findings[0]
		agree(t, string(tc.method), []float64{f.Test.Statistic, f.Test.DF, f.Test.P, f.EquivalenceCI.Lo,
			f.EquivalenceCI.Hi,
			f.Also[0].P}, inR(t, tc.program, table))
		inside := f.EquivalenceCI.Lo > -margin && f.EquivalenceCI.Hi < margin
		if f.Test.Method != tc.method || !f.Verdict.Sameness || (f.Verdict.Code == analysis.Alike) != inside ||
			(f.Test.P < s.Plan.Alpha) != inside || s.PlannedTest() != tc.method {
			t.Errorf("%s: test %+v, verdict %+v, interval %v", tc.method, f.Test, f.Verdict, f.EquivalenceCI)
		}
	}
}

// The rule is one: verdict, test and interval agree on random groups, and where there is no
// scatter at all.
func TestSamenessOfGroupsIsOneRule(t *testing.T) {
	for seed := range uint64(60) {
		s, ratings, _ := apart(16+int(seed%5)*8, int(seed%3), float64(seed%7), seed)
		s.Plan.Test, s.Plan.SmallestEffect = study.Equivalence, 1+float64(seed%9)
		if seed%4 == 0 {
			for i := range ratings {
				ratings[i].Value = float64(seed % 8)
				if ratings[i].Sample == s.Samples[1].ID {
					ratings[i].Value = 0
				}
			}
		}
		f := analyse(t, s, ratings).Findings[0]
		m := s.Plan.SmallestEffect
		inside := f.EquivalenceCI.Lo > -m && f.EquivalenceCI.Hi < m
		if (f.Verdict.Code == analysis.Alike) != inside || (f.Test.P < s.Plan.Alpha) != inside || math.IsNaN(f.Test.P) {
			t.Errorf("seed %d: test %+v, verdict %s, interval %v in %v", seed, f.Test, f.Verdict.Code, f.EquivalenceCI,
				m)
		}
	}
}

// van Elteren's test by its formula, in base R: rank sums within strata over N + 1, with the
// variance given the ties; the shift as the weighted median of all differences.
func TestStratifiedRanksAgainstR(t *testing.T) {
	for _, ties := range []bool{false, true} {
		s, ratings, table := apart(90, 4, 3, 9)
		if ties {
			var b strings.Builder
			b.WriteString("sample,stratum,value\n")
			for i := range ratings {
				ratings[i].Value = math.Round(ratings[i].Value / 3)
				fmt.Fprintf(&b, "%s,%s,%g\n", ratings[i].Sample, ratings[i].Stratum, ratings[i].Value)
			}
			table = b.String()
		}
		s.Plan.Test = study.RankSum
		f := analyse(t, s, ratings).Findings[0]
		want := inR(t, `D <- Filter(function(g) length(unique(g$sample)) == 2, split(d, d$stratum))
h <- sapply(D, function(g) { r <- rank(g$value); N <- nrow(g); m <- sum(g$sample == "A"); k <- table(g$value)
  c(sum(r[g$sample == "A"]) - m * (N + 1) / 2, m * (N - m) / 12 * (N + 1 - sum(k^3 - k) / (N * (N - 1))), N + 1) })
z <- sum(h[1, ] / h[3, ]) / sqrt(sum(h[2, ] / h[3, ]^2))
e <- do.call(rbind, lapply(D, function(g) data.frame(v = c(outer(g$value[g$sample == "A"], g$value[g$sample == "B"], `+
			`"-")), w = 1 / (nrow(g) + 1))))
e <- e[order(e$v), ]; w <- cumsum(e$w); W <- sum(e$w)
at <- function(a) { i <- which(w > a + 1e-9 * a)[1]; if (i > 1 && abs(w[i - 1] - a) <= 1e-9 * a) (e$v[i - 1] + `+
			`e$v[i]) / 2 else e$v[i] }
q <- qnorm(0.975) * sqrt(sum(sapply(D, function(g) { m <- sum(g$sample == "A"); n <- nrow(g) - m; m * n / 12 / (m + `+
			`n + 1) })))
say(z, at(W / 2), at(W / 2 - q), at(W / 2 + q))`, table)
		agree(t, "stratified ranks", []float64{f.Test.Statistic, f.Value, f.CI.Lo, f.CI.Hi}, want)
		plain := f.Also[len(f.Also)-1]
		if f.Test.Method != method.StratifiedRankSum || f.Measure != method.HodgesLehmannWithin ||
			plain.Method != method.RankSum || !(f.Test.P < plain.P) || f.Also[0].Method != method.StratifiedT {
			t.Errorf("%+v by %s; beside it %+v", f.Test, f.Measure, f.Also)
		}
	}
}

// The order of people has no effect.
func TestOrderOfGroupsHasNoEffect(t *testing.T) {
	for _, test := range []study.Test{study.RankSum, study.Equivalence} {
		s, ratings, _ := apart(40, 3, 2, 4)
		s.Plan.Test, s.Plan.SmallestEffect = test, 5
		want := analyse(t, s, ratings).Findings[0]
		rand.New(rand.NewPCG(1, 1)).Shuffle(len(ratings), func(i, j int) {
			ratings[i], ratings[j] = ratings[j], ratings[i]
		})
		got := analyse(t, s, ratings).Findings[0]
		if !near(got.Test.P, want.Test.P, 1e-9, 0) || !near(got.Value, want.Value, 1e-9, 1e-9) ||
			!near(got.EquivalenceCI.Lo, want.EquivalenceCI.Lo, 1e-9, 1e-9) {
			t.Errorf("%s: %+v %v, in another order %+v %v", test, want.Test, want.Estimate, got.Test, got.Estimate)
		}
	}
}
