package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/stats/ranks"
	"cloche/internal/study"
)

// ofPanel is the finding on all samples of the first attribute.
func ofPanel(t *testing.T, r *analysis.Result) analysis.Finding {
	t.Helper()
	for _, f := range r.Findings {
		if f.Kind == analysis.KindPanel {
			return f
		}
	}
	t.Fatal("no finding on all samples")
	return analysis.Finding{}
}

// tasted are n people who taste k samples in the rows of a Williams square, with an
// effect of the sample, of the position and of what came before.
func tasted(n, k int, sample, position, carry float64) (*study.Study, []analysis.Rating, string) {
	s := panelOf(k)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: -1000, To: 1000}
	random := rand.New(rand.NewPCG(uint64(n), uint64(k)))
	var ratings []analysis.Rating
	var table strings.Builder
	table.WriteString("assessor,sample,position,previous,value\n")
	for i := range n {
		person, before := 10*random.NormFloat64(), 0
		for at := range k {
			x := (i + at/2 + at%2*(k-1-at/2)) % k // zigzag
			if at%2 == 1 {
				x = (i + k - (at+1)/2) % k
			}
			v := person + sample*float64(x) + position*float64(at) + carry*float64(before) + 6*random.NormFloat64()
			ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(i + 1), Position: at + 1,
				Sample: s.Samples[x].ID, Attribute: "salt", Value: v})
			fmt.Fprintf(&table, "%d,%s,%d,%d,%.17g\n", i+1, s.Samples[x].ID, at+1, before, v)
			before = x + 1
		}
	}
	return s, ratings, table.String()
}

// Without positions a balanced panel is the textbook's: aov, friedman.test and TukeyHSD.
func TestBalancedPanelAgainstR(t *testing.T) {
	s, ratings, table := tasted(14, 4, 2, 0, 0)
	for i := range ratings {
		ratings[i].Position = 0
	}
	f := ofPanel(t, analyse(t, s, ratings))
	got := []float64{f.Test.Statistic, f.Test.DF, f.Test.DF2, f.Test.P, f.Also[1].Statistic}
	for _, p := range f.Panel.Pairs {
		got = append(got, -p.Difference, -p.Adjusted.Hi, -p.Adjusted.Lo)
	}
	want := inR(t, `d$assessor <- factor(d$assessor); d$sample <- factor(d$sample)
a <- anova(lm(value ~ assessor + sample, d))
say(a["sample", "F value"], a["sample", "Df"], a["Residuals", "Df"], a["sample", "Pr(>F)"])
say(friedman.test(value ~ sample | assessor, d)$statistic)
h <- TukeyHSD(aov(value ~ assessor + sample, d), "sample")$sample
for (p in c("B-A", "C-A", "C-B", "D-A", "D-B", "D-C")) say(h[p, "diff"], h[p, "lwr"], h[p, "upr"])`, table)
	for i := range want {
		tolerance := 1e-8
		if i > 4 {
			tolerance = 1e-6 // R's qtukey is good to about this
		}
		if !near(got[i], want[i], tolerance, 1e-8) {
			t.Errorf("number %d: got %.12g, R has %.12g", i, got[i], want[i])
		}
	}
	if p := f.Panel.Pairs[0].Test.PAdjusted; !(p >= 0 && p <= 1) || f.Panel.Adjustment != method.Tukey {
		t.Errorf("adjusted p %g by %s", p, f.Panel.Adjustment)
	}
	if !hasWarning(f.Warnings, analysis.WarnOrderUnknown) {
		t.Errorf("nothing is said of the missing positions: %v", f.Warnings)
	}
}

// Positions that lie far apart are as many as there are, not as many as the highest: a wrong
// number in a table takes no more time or memory, and leaves the test of the samples as it was.
func TestPositionsMayLieFarApart(t *testing.T) {
	s, ratings, _ := tasted(12, 4, 2, 1, 1)
	near := ofPanel(t, analyse(t, s, ratings))
	for i := range ratings {
		ratings[i].Position *= 8000
	}
	far := ofPanel(t, analyse(t, s, ratings))
	if diff := cmp.Diff(near.Test, far.Test, cmpopts.EquateApprox(1e-9, 0), cmpopts.EquateNaNs()); diff != "" {
		t.Error(diff)
	}
	if len(near.Panel.Estimates) != 4 || len(far.Panel.Estimates) != 4 ||
		math.Abs(near.Panel.Estimates[0].Mean-far.Panel.Estimates[0].Mean) > 1e-9 {
		t.Errorf("%+v, far apart %+v", near.Panel.Estimates, far.Panel.Estimates)
	}
}

// Skipped servings and positions: lmer, emmeans-like means and contrasts by lmerTest.
func TestUnbalancedPanelAgainstLmer(t *testing.T) {
	needsR(t, "lmerTest")
	s, ratings, table := tasted(18, 4, 2, 1, 1)
	lines := strings.SplitAfter(table, "\n")
	var kept []analysis.Rating
	text := lines[0]
	for i, r := range ratings {
		if i%7 != 3 {
			kept, text = append(kept, r), text+lines[i+1]
		}
	}
	f := ofPanel(t, analyse(t, s, kept))
	got := []float64{f.Test.Statistic, f.Test.DF, f.Test.DF2, f.Test.P}
	for _, e := range f.Panel.Estimates {
		got = append(got, e.Mean, e.CI.Lo, e.CI.Hi)
	}
	for _, p := range f.Panel.Pairs[:2] {
		got = append(got, -p.Difference, -p.Test.Statistic, p.Test.DF, p.Test.P)
	}
	want := inR(t, `suppressMessages(library(lmerTest))
d$assessor <- factor(d$assessor); d$sample <- factor(d$sample); d$position <- factor(d$position)
m <- lmer(value ~ sample + position + (1 | assessor), d, control = lmerControl(optCtrl = list(xtol_abs = 1e-12, `+
		`ftol_abs = 1e-12)))
a <- anova(m)
say(a["sample", "F value"], a["sample", "NumDF"], a["sample", "DenDF"], a["sample", "Pr(>F)"])
each <- function(w) contest(m, w, joint = FALSE)
for (k in 0:3) { w <- c(1, k == 1, k == 2, k == 3, 1/4, 1/4, 1/4); e <- each(w); say(e$Estimate, e$lower, e$upper) }
for (w in list(c(0, 1, 0, 0, 0, 0, 0), c(0, 0, 1, 0, 0, 0, 0))) { e <- each(w); say(e$Estimate, e[["t value"]], `+
		`e$df, e[["Pr(>|t|)"]]) }`, text)
	if len(got) != len(want) {
		t.Fatalf("%d numbers, lmer has %d", len(got), len(want))
	}
	for i := range want {
		if !near(got[i], want[i], 1e-6, 1e-6) {
			t.Errorf("number %d: got %.12g, lmer has %.12g", i, got[i], want[i])
		}
	}
}

// Carry-over that was planted is remarked, and the differences that allow for it are
// free of it.
func TestPlantedCarryOverIsFound(t *testing.T) {
	s, ratings, _ := tasted(24, 4, 0, 0, 8)
	f := ofPanel(t, analyse(t, s, ratings))
	if !hasWarning(f.Warnings, analysis.WarnCarryOver) {
		t.Errorf("no remark on carry-over: %v", f.Warnings)
	}
	c, ok := checkOf(f, method.Previous)
	if !ok || !(c.P < 0.001) {
		t.Errorf("the check of carry-over: %+v", c)
	}
	for _, p := range f.Panel.Pairs {
		if math.Abs(p.WithCarryOver) > 6 || p.WithCarryOverCI.Lo > p.WithCarryOver ||
			p.WithCarryOverCI.Hi < p.WithCarryOver {
			t.Errorf("%s minus %s, carry-over allowed for: %g, %v; the truth is 0", p.First, p.Second, p.WithCarryOver,
				p.WithCarryOverCI)
		}
	}
}

// Samples that go with the position leave a model without it, and words that say so.
func TestPanelWithoutPositionSaysSo(t *testing.T) {
	s, ratings, _ := tasted(12, 3, 2, 0, 0)
	for i := range ratings {
		ratings[i].Position = map[study.SampleID]int{"A": 1, "B": 2, "C": 3}[ratings[i].Sample]
	}
	f := ofPanel(t, analyse(t, s, ratings))
	if math.IsNaN(f.Test.P) || len(f.Panel.Estimates) != 3 || math.IsNaN(f.Panel.Estimates[2].Mean) {
		t.Errorf("test %+v, estimates %+v", f.Test, f.Panel.Estimates)
	}
	if _, ok := checkOf(f, method.Position); ok || !hasWarning(f.Warnings, analysis.WarnOrderOpen) {
		t.Errorf("position is checked, or nothing is said of it: %v", f.Warnings)
	}
}

// A plan by ranks puts Friedman's test first.
func TestPanelByRanks(t *testing.T) {
	s, ratings, _ := tasted(20, 3, 5, 0, 0)
	s.Plan.Test = study.SignedRank
	f := ofPanel(t, analyse(t, s, ratings))
	if f.Test.Method != method.Friedman || f.Panel.Adjustment != method.Holm || f.Also[0].Method != method.MixedF {
		t.Errorf("test %s, also %s, pairs by %s", f.Test.Method, f.Also[0].Method, f.Panel.Adjustment)
	}
	rows := make([][]float64, 20)
	for _, r := range ratings {
		i, _ := strconv.Atoi(r.Assessor)
		if rows[i-1] == nil {
			rows[i-1] = make([]float64, 3)
		}
		rows[i-1][r.Sample[0]-'A'] = r.Value
	}
	fr, err := ranks.Friedman(rows)
	if err != nil {
		t.Fatal(err)
	}
	if f.Test.P != fr.ExactP || f.Panel.Pairs[0].Test.PAdjusted != fr.Pairs[0].PHolm ||
		f.Panel.Pairs[0].Test.Statistic != -fr.Pairs[0].T {
		t.Errorf("p %g, want %g; first pair %+v, want %+v", f.Test.P, fr.ExactP, f.Panel.Pairs[0], fr.Pairs[0])
	}
}
