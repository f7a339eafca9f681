package analysis_test

import (
	"bytes"
	"fmt"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
)

// theSameInR does in R (lme4 with lmerTest, emmeans, stats) what [analysis.Analyse] does of
// each attribute: the mixed model with position and the one with the sample before,
// their F tests, means, pairs by Tukey; the repeated-measures analysis with Greenhouse
// and Geisser's correction; Friedman's test; of every pair the t, signed-rank and
// sign test; the adjustments. It prints the seconds that they took, without loading
// packages and data. The exact signed ranks, noncentral intervals and rechecks that we
// do besides are not in it.
const theSameInR = `suppressMessages({library(lmerTest); library(emmeans)}); ` +
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
	`k <- combn(ncol(w), 2); q <- apply(k, 2, function(j) { t <- t.test(w[, j[1]], w[, j[2]], paired = TRUE); ` +
	`r <- suppressWarnings(wilcox.test(w[, j[1]], w[, j[2]], paired = TRUE, exact = FALSE)); s <- w[, j[1]] - w[, j[2]]; ` +
	`b <- binom.test(sum(s > 0), sum(s != 0)); c(t$p.value, r$p.value, b$p.value) }); ` +
	`q }; ` +
	`took <- system.time(apply(do.call(cbind, lapply(levels(d$attribute), one)), 1, p.adjust, "holm")); ` +
	`cat(took[["elapsed"]], took[["user.self"]] + took[["sys.self"]])`

func BenchmarkAnalyseBesideR(b *testing.B) {
	if exec.Command("Rscript", "--vanilla", "-e", "library(lmerTest); library(emmeans)").Run() != nil {
		b.Skip("lmerTest or emmeans of R is missing: install r-cran-lmertest and r-cran-emmeans to measure beside them")
	}
	s, ratings := wide(200, 6, 10)
	elapsed, processor := inRTakes(b, ratings)
	b.ReportAllocs()
	start := time.Now()
	for b.Loop() {
		if _, err := analysis.Analyse(s, ratings, analysis.Options{}); err != nil {
			b.Fatal(err)
		}
	}
	ours := time.Since(start).Seconds() / float64(b.N)
	b.ReportMetric(elapsed*1000, "R-ms")
	b.ReportMetric(processor*1000, "R-cpu-ms")
	b.ReportMetric(elapsed/ours, "times-faster")
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
