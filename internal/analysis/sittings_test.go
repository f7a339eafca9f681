package analysis_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// atSittings are people who taste k samples each, over as many sittings as they attend, of
// some; every fifth rating is missing when gaps is set.
func atSittings(n, k, sittings, visits int, sittingSD, daySD float64, gaps bool) (*study.Study, []analysis.Rating,
	string) {
	s := panelOf(k)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: -1000, To: 1000}
	random := rand.New(rand.NewPCG(uint64(n), uint64(sittings)))
	level := make([]float64, sittings)
	for i := range level {
		level[i] = sittingSD * random.NormFloat64()
	}
	var ratings []analysis.Rating
	var table strings.Builder
	table.WriteString("assessor,sitting,sample,position,value\n")
	for i := range n {
		person, position := 8*random.NormFloat64(), 0
		own := make([]float64, k) // what a person finds of a sample, for whoever tastes it again
		for x := range own {
			if visits > 1 {
				own[x] = 4 * random.NormFloat64()
			}
		}
		for v := range visits {
			at := (i + v) % sittings
			day := daySD * random.NormFloat64()
			for _, x := range random.Perm(k) {
				position++
				value := person + level[at] + day + own[x] + 2*float64(x) + 5*random.NormFloat64()
				if gaps && (i+position)%5 == 0 {
					continue
				}
				ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(i + 1), Position: position,
					Sitting: at + 1,
					Sample:  s.Samples[x].ID, Attribute: "salt", Value: value})
				fmt.Fprintf(&table, "%d,%d,%s,%d,%.17g\n", i+1, at+1, s.Samples[x].ID, position, value)
			}
		}
	}
	return s, ratings, table.String()
}

// panelNumbers are the test, the check of position, means, first pairs and scatter.
func panelNumbers(f analysis.Finding) (got []float64) {
	got = append(got, f.Test.Statistic, f.Test.DF, f.Test.DF2, f.Test.P)
	for _, e := range f.Panel.Estimates {
		got = append(got, e.Mean, e.CI.Lo, e.CI.Hi)
	}
	for _, p := range f.Panel.Pairs[:2] {
		got = append(got, -p.Difference, -p.Test.Statistic, p.Test.DF, p.Test.P)
	}
	for _, x := range f.Panel.Scatter {
		got = append(got, x.SD)
	}
	return got
}

const lmerOfSittings = `suppressMessages(library(lmerTest))
for (v in c("assessor", "sitting", "sample", "position")) d[[v]] <- factor(d[[v]])
fit <- function(f) { l <- lFormula(f, d); g <- do.call(mkLmerDevfun, l); o <- suppressMessages(optimizeLmer(g)); ` +
	`th <- o$par
  for (i in 1:4) th <- th - solve(numDeriv::hessian(g, th), numDeriv::grad(g, th)) # lmer's own search stops at six ` +
	`digits
  o$par <- th; o$fval <- g(th); as_lmerModLmerTest(mkMerMod(environment(g), o, l$reTrms, l$fr, mc = ` +
	`bquote(lmer(.(f), d)))) }
numbers <- function(m, ddf) { a <- anova(m, ddf = ddf); k <- nlevels(d$sample); p <- nlevels(d$position)
  say(a["sample", "F value"], a["sample", "NumDF"], a["sample", "DenDF"], a["sample", "Pr(>F)"])
  kr <- if (ddf == "Kenward-Roger") pbkrtest::vcovAdj(m) # once, not for every contrast
  each <- function(w) { if (is.null(kr)) return(contest(m, w, joint = FALSE, ddf = ddf))
    est <- sum(w * fixef(m)); se <- sqrt(drop(w %*% as.matrix(kr) %*% w)); df <- pbkrtest::Lb_ddf(w, vcov(m), kr)
    half <- qt(0.975, df) * se; list(Estimate = est, lower = est - half, upper = est + half, ` +
	`"t value" = est / se, df = df, "Pr(>|t|)" = 2 * pt(-abs(est / se), df)) }
  for (j in 1:k) { e <- each(c(1, (2:k) == j, rep(1 / p, p - 1))); say(e$Estimate, e$lower, e$upper) }
  for (j in 2:3) { e <- each(c(0, (2:k) == j, rep(0, p - 1))); say(e$Estimate, e[["t value"]], e$df, ` +
	`e[["Pr(>|t|)"]]) } }
`

// Several sittings: lmer with the sitting at random, assessors nested in sittings or coming
// back, complete and with servings skipped; where they come back by Kenward and Roger.
func TestSittingsAgainstLmer(t *testing.T) {
	needsR(t, "lmerTest", "pbkrtest")
	for _, tc := range []struct {
		name, formula, scatter string
		n, sittings, visits    int
		sittingSD, daySD       float64
		gaps, singular         bool
	}{
		{name: "nested", formula: "(1 | sitting) + (1 | assessor)", scatter: "assessor sitting", n: 30, sittings: 5,
			visits: 1, sittingSD: 6},
		{name: "nested, servings skipped", formula: "(1 | sitting) + (1 | assessor)", scatter: "assessor sitting",
			n:        36,
			sittings: 6, visits: 1, sittingSD: 6, gaps: true},
		{name: "coming back", formula: "(1 | sitting) + (1 | assessor) + (1 | assessor:sitting) + (1 | " +
			"assessor:sample)",
			scatter: "assessor:sample assessor:sitting assessor sitting", n: 24, sittings: 6, visits: 2, sittingSD: 5,
			daySD: 5},
		{name: "coming back, servings skipped", formula: "(1 | sitting) + (1 | assessor) + (1 | assessor:sitting) + " +
			"(1 | assessor:sample)",
			scatter: "assessor:sample assessor:sitting assessor sitting", n: 25, sittings: 5, visits: 3, sittingSD: 5,
			daySD: 5, gaps: true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s, ratings, table := atSittings(tc.n, 4, tc.sittings, tc.visits, tc.sittingSD, tc.daySD, tc.gaps)
			f := ofPanel(t, analyse(t, s, ratings))
			var scatter []string
			for _, x := range strings.Fields(tc.scatter) {
				scatter = append(scatter, `"`+x+`"`)
			}
			ddf := "Satterthwaite"
			if tc.visits > 1 {
				ddf = "Kenward-Roger"
			}
			want := inR(t, lmerOfSittings+"m <- fit(value ~ sample + position + "+tc.formula+")\n"+
				"numbers(m, \""+ddf+"\")\n"+
				"v <- as.data.frame(VarCorr(m)); say(v$sdcor[match(c("+strings.Join(scatter, ", ")+
				`, "Residual"), v$grp)])`, table)
			if strings.Contains(f.Test.Title, "Kenward") != (tc.visits > 1) {
				t.Errorf("of %d visits the test is a %s", tc.visits, f.Test.Title)
			}
			got := panelNumbers(f)
			if len(got) != len(want) || f.Panel.Sittings != tc.sittings {
				t.Fatalf("%d numbers of %d sittings, lmer has %d: %+v", len(got), f.Panel.Sittings, len(want),
					f.Panel.Scatter)
			}
			for i := range want {
				if !near(got[i], want[i], 1e-6, 1e-6) {
					t.Errorf("number %d: got %.12g, lmer has %.12g", i, got[i], want[i])
				}
			}
		})
	}
}

// Where sittings do not differ the fit is singular and says so, and the answer is that of
// the model without them.
func TestFlatSittingsSaySo(t *testing.T) {
	s, ratings, _ := atSittings(30, 4, 2, 1, 0, 0, false)
	with := ofPanel(t, analyse(t, s, ratings))
	for i := range ratings {
		ratings[i].Sitting = 1
	}
	without := ofPanel(t, analyse(t, s, ratings))
	if without.Panel.Sittings != 0 || hasWarning(without.Warnings, stats.WarnSingular) {
		t.Errorf("one sitting: %d in the model, %v", without.Panel.Sittings, without.Warnings)
	}
	if with.Panel.Sittings != 2 || !hasWarning(with.Warnings, stats.WarnSingular) {
		t.Fatalf("the sittings of this seed were to scatter by nothing: %+v, %v", with.Panel.Scatter, with.Warnings)
	}
	if !near(with.Test.Statistic, without.Test.Statistic, 1e-9, 0) || !near(with.Test.DF2, without.Test.DF2, 1e-6, 0) {
		t.Errorf("with flat sittings %+v, without %+v", with.Test, without.Test)
	}
}

// Sittings that cannot be told from people or samples are left out, with a word.
func TestSittingsThatGoWithOthersAreLeftOut(t *testing.T) {
	for _, n := range []int{3, 12} {
		s, ratings, _ := atSittings(n, 3, n, 1, 3, 0, false)
		f := ofPanel(t, analyse(t, s, ratings))
		if f.Panel.Sittings != 0 || !hasWarning(f.Warnings, analysis.WarnSittingsOpen) {
			t.Errorf("one person at each of %d sittings: %d in the model, %v", n, f.Panel.Sittings, f.Warnings)
		}
	}
	s, ratings, _ := atSittings(12, 3, 4, 1, 3, 0, false)
	for i := range ratings {
		ratings[i].Sitting = 1 + int(ratings[i].Sample[0]-s.Samples[0].ID[0])
	}
	f := ofPanel(t, analyse(t, s, ratings))
	if f.Panel.Sittings != 0 || !hasWarning(f.Warnings, analysis.WarnSittingsOpen) {
		t.Errorf("one sample at each sitting: %d in the model, %v", f.Panel.Sittings, f.Warnings)
	}
	ratings[4].Sitting = 0
	f = ofPanel(t, analyse(t, s, ratings))
	if f.Panel.Sittings != 0 || hasWarning(f.Warnings, analysis.WarnSittingsOpen) {
		t.Errorf("a sitting that is not known: %d in the model, %v", f.Panel.Sittings, f.Warnings)
	}
}

// Neither the order of rows nor how sittings are numbered has an effect.
func TestOrderOfSittingsHasNoEffect(t *testing.T) {
	s, ratings, _ := atSittings(20, 3, 4, 2, 4, 3, true)
	want := panelNumbers(ofPanel(t, analyse(t, s, ratings)))
	for i := range ratings {
		ratings[i].Sitting = 9 - ratings[i].Sitting
	}
	rand.New(rand.NewPCG(3, 4)).Shuffle(len(ratings), func(i, j int) {
		ratings[i], ratings[j] = ratings[j], ratings[i]
	})
	for i, v := range panelNumbers(ofPanel(t, analyse(t, s, ratings))) {
		if !near(v, want[i], 1e-7, 1e-7) {
			t.Errorf("number %d: %.12g, %.12g in another order", i, want[i], v)
		}
	}
}

// TestPositionsThatTellTheSittingHoldIt: where everybody had the same number of servings at one
// sitting and then at the next, what sittings do is in the positions already, and no number is
// given for how much sittings scatter. Who came is still told apart from sitting to sitting.
func TestPositionsThatTellTheSittingHoldIt(t *testing.T) {
	s, ratings, _ := atSittings(14, 4, 2, 2, 6, 5, false)
	for i := range ratings {
		ratings[i].Sitting = 1 + (ratings[i].Position-1)/4
	}
	f := ofPanel(t, analyse(t, s, ratings))
	if f.Panel.Sittings != 0 || !hasWarning(f.Warnings, analysis.WarnSittingsOpen) {
		t.Errorf("%d sittings in the model, %v", f.Panel.Sittings, f.Warnings)
	}
	of := map[analysis.ScatterOf]bool{}
	for _, x := range f.Panel.Scatter {
		of[x.Of] = true
	}
	if of[analysis.ScatterSitting] || !of[analysis.ScatterDay] {
		t.Errorf("scatter of %v", f.Panel.Scatter)
	}
	ratings[0].Position, ratings[7].Position = ratings[7].Position, ratings[0].Position
	f = ofPanel(t, analyse(t, s, ratings))
	if f.Panel.Sittings != 2 || hasWarning(f.Warnings, analysis.WarnSittingsOpen) {
		t.Errorf("one position was served at both: %d sittings in the model, %v", f.Panel.Sittings, f.Warnings)
	}
}
