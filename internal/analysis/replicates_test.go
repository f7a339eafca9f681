package analysis_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// timesEach are n people who rate each of k samples so many times, in rounds; people differ
// in what they find of a sample by ownSD. Every seventh rating is missing when gaps is set.
func timesEach(n, k, times int, ownSD float64, gaps bool) (*study.Study, []analysis.Rating, string) {
	s := panelOf(k)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: -1000, To: 1000}
	s.Serving.Replicates = times
	random := rand.New(rand.NewPCG(uint64(n), uint64(k*times)))
	var ratings []analysis.Rating
	var table strings.Builder
	table.WriteString("assessor,sample,position,value\n")
	for i := range n {
		person, position := 8*random.NormFloat64(), 0
		own := make([]float64, k)
		for x := range own {
			own[x] = ownSD * random.NormFloat64()
		}
		for range times {
			for _, x := range random.Perm(k) {
				position++
				value := person + own[x] + 2*float64(x) + 0.5*float64(position) + 4*random.NormFloat64()
				if gaps && (i+position)%7 == 0 {
					continue
				}
				ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: position,
					Sample: s.Samples[x].ID, Attribute: "salt", Value: value})
				fmt.Fprintf(&table, "%d,%s,%d,%.17g\n", i+1, s.Samples[x].ID, position, value)
			}
		}
	}
	return s, ratings, table.String()
}

const lmerOfReplicates = `suppressMessages(library(lmerTest))
for (v in c("assessor", "sample", "position")) d[[v]] <- factor(d[[v]])
fit <- function(f) { l <- lFormula(f, d); g <- do.call(mkLmerDevfun, l); o <- suppressMessages(optimizeLmer(g)); ` +
	`th <- o$par
  for (i in 1:4) th <- th - solve(numDeriv::hessian(g, th), numDeriv::grad(g, th)) # lmer's own search stops at six ` +
	`digits
  o$par <- th; o$fval <- g(th); as_lmerModLmerTest(mkMerMod(environment(g), o, l$reTrms, l$fr, mc = ` +
	`bquote(lmer(.(f), d)))) }
numbers <- function(m, p) { a <- anova(m); k <- nlevels(d$sample)
  say(a["sample", "F value"], a["sample", "NumDF"], a["sample", "DenDF"], a["sample", "Pr(>F)"])
  each <- function(w) contest(m, w, joint = FALSE)
  for (j in 1:k) { e <- each(c(1, (2:k) == j, rep(1 / p, p - 1))); say(e$Estimate, e$lower, e$upper) }
  for (j in 2:3) { e <- each(c(0, (2:k) == j, rep(0, p - 1))); say(e$Estimate, e[["t value"]], e$df, e[["Pr(>|t|)"]]) }
  v <- as.data.frame(VarCorr(m)); say(v$sdcor[match(c("assessor:sample", "assessor", "Residual"), v$grp)]) }
`

// Several ratings of a sample by one assessor: lmer with what is the assessor's own about a
// sample at random, complete and with servings skipped.
func TestReplicatesAgainstLmer(t *testing.T) {
	needsR(t, "lmerTest")
	for _, tc := range []struct {
		name        string
		n, k, times int
		gaps        bool
	}{
		{"twice each", 14, 4, 2, false},
		{"three times each, servings skipped", 12, 3, 3, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s, ratings, table := timesEach(tc.n, tc.k, tc.times, 5, tc.gaps)
			f := ofPanel(t, analyse(t, s, ratings))
			compareWithLmer(t, f, inR(t, lmerOfReplicates+"numbers(fit(value ~ sample + position + (1 | assessor) + "+
				"(1 | assessor:sample)), nlevels(d$position))", table))
			if !hasWarning(f.Warnings, analysis.WarnReplicatesModel) {
				t.Errorf("nothing is said of replicates: %v", f.Warnings)
			}
		})
	}
}

func compareWithLmer(t *testing.T, f analysis.Finding, want []float64) {
	t.Helper()
	got := panelNumbers(f)
	if len(got) != len(want) {
		t.Fatalf("%d numbers, lmer has %d: %+v", len(got), len(want), f.Panel.Scatter)
	}
	for i := range want {
		if !near(got[i], want[i], 1e-6, 1e-6) {
			t.Errorf("number %d: got %.12g, lmer has %.12g", i, got[i], want[i])
		}
	}
}

// The television sets of Bang & Olufsen (testdata/reference/SOURCES.md): 8 assessors who saw
// each of three sets eight times.
func TestTelevisionsAgainstLmer(t *testing.T) {
	needsR(t, "lmerTest")
	for _, attribute := range []string{"Coloursaturation", "Depth"} {
		s, ratings, table := televisions(t, attribute)
		f := ofPanel(t, analyse(t, s, ratings))
		compareWithLmer(t, f, inR(t, lmerOfReplicates+
			"numbers(fit(value ~ sample + (1 | assessor) + (1 | assessor:sample)), 1)", table))
	}
}

func televisions(t *testing.T, attribute string) (*study.Study, []analysis.Rating, string) {
	t.Helper()
	file, err := os.ReadFile("../../testdata/reference/data/tvbo.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(file))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	who, what, value := slices.Index(rows[0], "Assessor"), slices.Index(rows[0], "TVset"),
		slices.Index(rows[0], attribute)
	s := panelOf(3)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: 0, To: 20}
	var ratings []analysis.Rating
	table := "assessor,sample,position,value\n"
	sets := map[string]study.SampleID{}
	for _, row := range rows[1:] {
		if _, met := sets[row[what]]; !met {
			sets[row[what]] = s.Samples[len(sets)].ID
		}
		var v float64
		if _, err := fmt.Sscan(row[value], &v); err != nil {
			t.Fatal(err)
		}
		ratings = append(ratings, analysis.Rating{Assessor: row[who], Sample: sets[row[what]], Attribute: "salt",
			Value: v})
		table += fmt.Sprintf("%s,%s,1,%.17g\n", row[who], sets[row[what]], v)
	}
	return s, ratings, table
}

// Whoever gives the same answer each time leaves nothing to tell chance from: the model is
// that of each assessor's means, and so is its answer.
func TestExactReplicatesAreAveraged(t *testing.T) {
	s, once, _ := timesEach(12, 4, 1, 5, false)
	for i := range once {
		once[i].Position = 0
	}
	want := ofPanel(t, analyse(t, s, once))
	f := ofPanel(t, analyse(t, s, slices.Concat(once, once)))
	if !near(f.Test.P, want.Test.P, 1e-9, 0) || !near(f.Test.DF2, want.Test.DF2, 1e-9, 0) {
		t.Errorf("every rating twice: %+v, once: %+v", f.Test, want.Test)
	}
	if hasWarning(want.Warnings, analysis.WarnReplicatesModel) ||
		!hasWarning(f.Warnings, analysis.WarnReplicatesModel) {
		t.Errorf("once %v, twice %v", want.Warnings, f.Warnings)
	}
}

// One rating given twice, by one person, moves the answer little.
func TestASingleReplicate(t *testing.T) {
	s, ratings, _ := timesEach(16, 4, 1, 3, false)
	want := ofPanel(t, analyse(t, s, ratings))
	again := ratings[5]
	again.Value += 3
	f := ofPanel(t, analyse(t, s, append(slices.Clone(ratings), again)))
	if math.IsNaN(f.Test.P) || math.Abs(math.Log(f.Test.P/want.Test.P)) > 1 || f.Test.DF2 > 1.1*want.Test.DF2 {
		t.Errorf("with one rating more %+v, without %+v", f.Test, want.Test)
	}
}

// Where people do not differ in what they find of a sample the fit is singular and says so.
func TestPeopleWhoAgreeOnSamples(t *testing.T) {
	s, ratings, _ := timesEach(10, 3, 2, 0, false)
	for seed := uint64(0); ; seed++ {
		random := rand.New(rand.NewPCG(seed, 5))
		for i := range ratings {
			ratings[i].Value = math.Round(10 * random.NormFloat64())
		}
		f := ofPanel(t, analyse(t, s, ratings))
		at := slices.IndexFunc(f.Panel.Scatter, func(x analysis.Scatter) bool { return x.Of == analysis.ScatterSample })
		if at < 0 {
			t.Fatalf("no scatter of what is an assessor's own: %+v", f.Panel.Scatter)
		}
		flat := f.Panel.Scatter[at].SD == 0
		said := slices.ContainsFunc(f.Warnings, func(w analysis.Warning) bool {
			return w.Code == stats.WarnSingular && strings.Contains(w.Text, "do not differ in what they find of a "+
				"sample")
		})
		if flat != said {
			t.Fatalf("scatter %+v, said %t: %v", f.Panel.Scatter, said, f.Warnings)
		}
		if flat {
			return
		}
	}
}

// A pair by the model of samples that were rated twice each: a lone assessor's two ratings
// are not two opinions.
func TestPairByModelOfReplicates(t *testing.T) {
	needsR(t, "lmerTest")
	s, ratings, table := timesEach(14, 4, 2, 5, false)
	s.Plan.Test = study.MixedT
	f := analyse(t, s, ratings).Findings[0]
	want := inR(t, lmerOfReplicates+"m <- fit(value ~ sample + position + (1 | assessor) + (1 | assessor:sample))\n"+
		"e <- contest(m, c(0, -1, rep(0, nlevels(d$position) + 1)), joint = FALSE)\n"+
		`say(e$Estimate, e$lower, e$upper, e[["t value"]], e$df, e[["Pr(>|t|)"]])`, table)
	got := []float64{f.Value, f.CI.Lo, f.CI.Hi, f.Test.Statistic, f.Test.DF, f.Test.P}
	for i := range want {
		if !near(got[i], want[i], 1e-6, 1e-6) {
			t.Errorf("number %d: got %.12g, lmer has %.12g", i, got[i], want[i])
		}
	}
	if f.Test.Method != method.MixedT || !hasWarning(f.Warnings, analysis.WarnReplicatesModel) {
		t.Errorf("%+v %v", f.Test, f.Warnings)
	}
}
