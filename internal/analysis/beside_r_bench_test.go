package analysis_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// theSameInR does in R (lme4 with lmerTest, emmeans, ordinal, stats) what [analysis.Analyse]
// does of each attribute: the mixed model with position and the one with the sample before,
// their F tests, means, pairs by Tukey; the repeated-measures analysis with Greenhouse
// and Geisser's correction; Friedman's test; of every pair the t, signed-rank and
// sign test; on a scale of labels the cumulative-link mixed model with all its pairs; the
// adjustments. It prints the seconds that they took, without loading packages and data. The
// exact signed ranks, noncentral intervals, rechecks, the plan's lottery and the shares of
// the labels, which we do besides, are not in it.
const theSameInR = `suppressMessages({library(lmerTest); library(emmeans); library(ordinal)}); ` +
	`emm_options(lmerTest.limit = 1e6, pbkrtest.limit = 0); ` +
	`d <- read.csv(file("stdin"), colClasses = c(rep("factor", 5), "numeric")); ` +
	`one <- function(a) { x <- droplevels(d[d$attribute == a, ]); ` +
	`m <- lmer(value ~ sample + position + (1 | assessor), x); F <- anova(m); ` +
	`e <- emmeans(m, "sample", lmer.df = "satterthwaite"); ` +
	`ci <- confint(e); p <- as.data.frame(pairs(e, adjust = "tukey", infer = TRUE)); ` +
	`c <- lmer(value ~ sample + position + previous + (1 | assessor), x[x$position != "1", ]); FC <- anova(c); ` +
	`pc <- as.data.frame(pairs(emmeans(c, "sample", lmer.df = "satterthwaite"), infer = TRUE)); ` +
	`w <- tapply(x$value, list(x$assessor, x$sample), mean); ` +
	`rm <- anova(lm(w ~ 1), X = ~1, test = "Spherical"); fr <- friedman.test(w); ` +
	`if (substr(a, 1, 5) == "label") { o <- clmm(factor(value, ordered = TRUE) ~ sample + (1 | assessor), x, ` +
	`nAGQ = 10); po <- as.data.frame(pairs(emmeans(o, "sample"), infer = TRUE)) }; ` +
	`k <- combn(ncol(w), 2); q <- apply(k, 2, function(j) { t <- t.test(w[, j[1]], w[, j[2]], paired = TRUE); ` +
	`r <- suppressWarnings(wilcox.test(w[, j[1]], w[, j[2]], paired = TRUE, exact = FALSE)); ` +
	`s <- w[, j[1]] - w[, j[2]]; ` +
	`b <- binom.test(sum(s > 0), sum(s != 0)); c(t$p.value, r$p.value, b$p.value) }); ` +
	`q }; ` +
	`took <- system.time(apply(do.call(cbind, lapply(levels(d$attribute), one)), 1, p.adjust, "holm")); ` +
	`cat(took[["elapsed"]], took[["user.self"]] + took[["sys.self"]])`

// What a whole study takes here and in R, of the processor: on a machine that does other
// things besides, time on the clock says little.
func BenchmarkAnalyseBesideR(b *testing.B) {
	if exec.Command("Rscript", "--vanilla", "-e", "library(lmerTest); library(emmeans); "+
		"library(ordinal)").Run() != nil {
		b.Skip("lmerTest, emmeans or ordinal of R is missing: install r-cran-lmertest, r-cran-emmeans and " +
			"r-cran-ordinal to measure beside them")
	}
	for _, x := range []struct {
		name   string
		labels int
	}{{"lines", 0}, {"half on labels", 5}} {
		b.Run(x.name, func(b *testing.B) { benchBesideR(b, x.labels) })
	}
}

func benchBesideR(b *testing.B, labels int) {
	s, ratings, plan := wholeStudy(b, 200, labels)
	elapsed, processor := inRTakes(b, ratings)
	b.ReportAllocs()
	start, began := time.Now(), processorTime(b)
	for b.Loop() {
		if _, err := analysis.Analyse(s, ratings,
			analysis.Options{Lottery: &analysis.Lottery{Plan: plan}}); err != nil {
			b.Fatal(err)
		}
	}
	ours := (processorTime(b) - began).Seconds() / float64(b.N)
	onTheClock := time.Since(start).Seconds() / float64(b.N)
	b.ReportMetric(ours*1000, "cpu-ms")
	b.ReportMetric(elapsed*1000, "R-ms")
	b.ReportMetric(processor*1000, "R-cpu-ms")
	b.ReportMetric(elapsed/onTheClock, "times-faster")
	b.ReportMetric(processor/ours, "times-less-cpu")
}

// processorTime is that of this process so far.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// From 50 assessors to 800 the cost of everything that a study of six samples on ten attributes
// is answered with stays near linear.
func BenchmarkAnalyseEverything(b *testing.B) {
	for _, n := range []int{50, 100, 200, 400, 800} {
		for _, labels := range []int{0, 5} {
			s, ratings, plan := wholeStudy(b, n, labels)
			b.Run(fmt.Sprintf("assessors=%d/labels=%d", n, labels), func(b *testing.B) {
				b.ReportAllocs()
				began := processorTime(b)
				for b.Loop() {
					if _, err := analysis.Analyse(s, ratings,
						analysis.Options{Lottery: &analysis.Lottery{Plan: plan}}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(1000*(processorTime(b)-began).Seconds()/float64(b.N), "cpu-ms")
			})
		}
	}
}

// wholeStudy are so many people who rate six samples on ten attributes in the order of a plan
// whose lottery is known, some of them on scales of five labels.
func wholeStudy(b *testing.B, people, labels int) (*study.Study, []analysis.Rating, *design.Plan) {
	b.Helper()
	s, _ := wide(1, 6, 10)
	for i := range labels {
		a := &s.Attributes[len(s.Attributes)-1-i]
		a.ID = study.AttributeID(fmt.Sprintf("label%d", i))
		a.Scale = study.Scale{Kind: study.Categories, Labels: []string{"not", "hardly", "some", "quite", "very"}}
	}
	s.Panel.Assessors, s.Panel.Sittings, s.Serving.Replicates = people, (people+99)/100, 1
	plan, err := design.Draw(s, design.Options{Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	random := rand.New(rand.NewPCG(1, 2))
	var ratings []analysis.Rating
	level := make([]float64, plan.Assessors)
	for i := range level {
		level[i] = random.NormFloat64()
	}
	for _, v := range plan.Servings {
		for _, a := range s.Attributes {
			lo, hi := a.Scale.Min(), a.Scale.Max()
			at := 0.5 + 0.12*level[v.Assessor] + 0.03*float64(v.Sample) + 0.2*random.NormFloat64()
			ratings = append(ratings, analysis.Rating{Assessor: analysis.AssessorLabel(int(v.Assessor)),
				Position: int(v.Position), Sample: plan.Samples[v.Sample], Attribute: a.ID,
				Value: min(hi, max(lo, math.Round(lo+at*(hi-lo))))})
		}
	}
	return s, ratings, plan
}

// inRTakes are the seconds that the same takes in R, on the clock and of the processor.
func inRTakes(b *testing.B, ratings []analysis.Rating) (elapsed, processor float64) {
	type place struct {
		assessor, attribute string
		position            int
	}
	at := map[place]analysis.Rating{}
	for _, r := range ratings {
		at[place{r.Assessor, string(r.Attribute), r.Position}] = r
	}
	var table bytes.Buffer
	table.WriteString("assessor,attribute,sample,position,previous,value\n")
	for _, r := range ratings {
		before := at[place{r.Assessor, string(r.Attribute), r.Position - 1}]
		fmt.Fprintf(&table, "%s,%s,%s,%d,%s,%g\n", r.Assessor, r.Attribute, r.Sample, r.Position, before.Sample,
			r.Value)
	}
	cmd := exec.Command("Rscript", "--vanilla", "-e", theSameInR)
	cmd.Stdin = &table
	out, err := cmd.Output()
	if err != nil {
		b.Fatalf("R: %v", err)
	}
	took := strings.Fields(string(out))
	if len(took) != 2 {
		b.Fatalf("R says %q", out)
	}
	if elapsed, err = strconv.ParseFloat(took[0], 64); err == nil {
		processor, err = strconv.ParseFloat(took[1], 64)
	}
	if err != nil {
		b.Fatal(err)
	}
	return elapsed, processor
}
