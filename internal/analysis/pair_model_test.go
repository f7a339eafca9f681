package analysis_test

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// someEach are people who taste k of t samples each, with effects of the sample and the
// position.
func someEach(n, t, k int, personSD float64) (*study.Study, []analysis.Rating, string) {
	s := panelOf(t)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: -1000, To: 1000}
	s.Serving.Design, s.Serving.PerAssessor = study.Some, k
	s.Plan.Test = study.MixedT
	random := rand.New(rand.NewPCG(uint64(n), uint64(t)))
	var ratings []analysis.Rating
	var table strings.Builder
	table.WriteString("assessor,sample,position,value\n")
	for i := range n {
		person := personSD * random.NormFloat64()
		for at, x := range random.Perm(t)[:k] {
			v := person + 2*float64(x) + float64(at) + 5*random.NormFloat64()
			ratings = append(ratings, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: at + 1,
				Sample:    s.Samples[x].ID,
				Attribute: "salt", Value: v})
			fmt.Fprintf(&table, "%d,%s,%d,%.17g\n", i+1, s.Samples[x].ID, at+1, v)
		}
	}
	return s, ratings, table.String()
}

const lmerOfPeople = `suppressMessages(library(lmerTest)); for (v in c("assessor", "sample")) d[[v]] <- factor(d[[v]])
fit <- function(f) { l <- lFormula(f, d); g <- do.call(mkLmerDevfun, l); o <- suppressMessages(optimizeLmer(g)); ` +
	`th <- o$par
  for (i in 1:4) th <- th - numDeriv::grad(g, th) / c(numDeriv::hessian(g, th)) # lmer's own search stops at six digits
  o$par <- th; o$fval <- g(th); as_lmerModLmerTest(mkMerMod(environment(g), o, l$reTrms, l$fr, mc = ` +
	`bquote(lmer(.(f), d)))) }
`

// A pair of incomplete blocks by the model of every rating: lmer and contest of lmerTest.
func TestPairByModelAgainstLmer(t *testing.T) {
	needsR(t, "lmerTest")
	s, ratings, table := someEach(40, 6, 3, 6)
	f := analyse(t, s, ratings).Findings[0]
	got := []float64{f.Test.Statistic, f.Test.DF, f.Test.P, f.Value, f.CI.Lo, f.CI.Hi}
	want := inR(t, lmerOfPeople+`d$position <- factor(d$position); m <- fit(value ~ sample + position + (1 | assessor))
e <- contest(m, c(0, -1, 0, 0, 0, 0, 0, 0), joint = FALSE); say(e[["t value"]], e$df, e[["Pr(>|t|)"]], e$Estimate, `+
		`e$lower, e$upper)`,
		table)
	for i := range want {
		if !near(got[i], want[i], 1e-6, 1e-6) {
			t.Errorf("number %d: got %.12g, lmer has %.12g", i, got[i], want[i])
		}
	}
	both := len(f.Pair.Each)
	if f.Test.Method != method.MixedT || f.Measure != method.ModelDifference || f.N <= both || both == 0 ||
		f.Also[0].Method != method.PairedT || len(f.Excluded) > 0 || len(f.Rechecks) == 0 {
		t.Errorf("%d people, %d with both, %+v, also %+v", f.N, both, f.Test, f.Also)
	}
}

// The detergents of Scheffé (1959, p. 189): a balanced incomplete block design, the blocks
// at random. Differences lie between those within blocks and those of the block totals.
func TestIncompleteBlocksAgainstLmer(t *testing.T) {
	needsR(t, "lmerTest")
	file, err := os.ReadFile("../../testdata/reference/data/detergent.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(file))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	value, block, sample := slices.Index(rows[0], "plates"), slices.Index(rows[0], "block"), slices.Index(rows[0],
		"detergent")
	s := panelOf(5)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: 0, To: 100}
	s.Serving.Design, s.Serving.PerAssessor = study.Some, 3
	var ratings []analysis.Rating
	for _, row := range rows[1:] {
		var v float64
		fmt.Sscan(row[value], &v)
		ratings = append(ratings, analysis.Rating{Assessor: row[block], Sample: s.Samples[row[sample][0]-'A'].ID,
			Attribute: "salt", Value: v})
	}
	f := ofPanel(t, analyse(t, s, ratings))
	got := []float64{f.Test.Statistic}
	for _, p := range f.Panel.Pairs {
		got = append(got, -p.Difference, p.CI.Hi-p.CI.Lo)
	}
	got = append(got, f.Panel.Scatter[0].SD, f.Panel.Scatter[1].SD)
	want := inR(t, lmerOfPeople+`m <- fit(value ~ sample + (1 | assessor)); say(contestMD(m, diag(5)[-1, ])[["F `+
		`value"]]); b <- diag(5)
for (j in 2:5) for (i in 1:(j - 1)) { w <- c(0, b[-1, j] - b[-1, i]); e <- contest(m, w, joint = FALSE); `+
		`say(e$Estimate, e$upper - e$lower) }
say(as.data.frame(VarCorr(m))$sdcor)`, "assessor,sample,value\n"+detergentTable(ratings))
	if len(got) != len(want) {
		t.Fatalf("%d numbers, lmer has %d", len(got), len(want))
	}
	for i := range want {
		if !near(got[i], want[i], 1e-6, 1e-6) {
			t.Errorf("number %d: got %.12g, lmer has %.12g", i, got[i], want[i])
		}
	}
}

func detergentTable(ratings []analysis.Rating) string {
	var b strings.Builder
	for _, r := range ratings {
		fmt.Fprintf(&b, "%s,%s,%g\n", r.Assessor, r.Sample, r.Value)
	}
	return b.String()
}

// Where nobody rated both samples the model answers all the same, and the order of people and
// of samples has no effect.
func TestPairByModelWithoutPairs(t *testing.T) {
	s, ratings, _ := someEach(60, 5, 2, 3)
	ratings = slices.DeleteFunc(ratings, func(r analysis.Rating) bool {
		return r.Sample == s.Samples[1].ID && slices.ContainsFunc(ratings, func(x analysis.Rating) bool {
			return x.Assessor == r.Assessor && x.Sample == s.Samples[0].ID
		})
	})
	f := analyse(t, s, ratings).Findings[0]
	if len(f.Pair.Each) != 0 || !(f.Test.P > 0) || f.CI.Absent() || f.Verdict.Code == analysis.TooFew {
		t.Fatalf("%d pairs, %+v, %v", len(f.Pair.Each), f.Test, f.CI)
	}
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(ratings), func(i, j int) {
		ratings[i], ratings[j] = ratings[j], ratings[i]
	})
	slices.Reverse(s.Samples)
	got := analyse(t, s, ratings).Findings[0]
	if !near(got.Test.P, f.Test.P, 1e-7, 0) || !near(got.Value, f.Value, 1e-8, 1e-8) {
		t.Errorf("%+v %v, in another order %+v %v", f.Test, f.Value, got.Test, got.Value)
	}
}
