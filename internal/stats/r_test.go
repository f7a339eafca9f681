package stats_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// rProgram reads paired samples (set, x, y) and prints what R's own functions
// say of each set: source of every expected value of TestAgainstR.
const rProgram = `
d <- read.csv(file("stdin"))
out <- function(set, what, v) cat(sprintf("%d,%s,%.17g\n", set, what, v))
for (s in unique(d$set)) {
  x <- d$x[d$set == s]; y <- d$y[d$set == s]; n <- length(x)
  p <- t.test(x, y, paired = TRUE)
  out(s, "t", p$statistic); out(s, "p", p$p.value); out(s, "lo", p$conf.int[1]); out(s, "hi", p$conf.int[2])
  w <- t.test(x, y)
  out(s, "welch t", w$statistic); out(s, "welch df", w$parameter); out(s, "welch p", w$p.value)
  out(s, "signed rank p", wilcox.test(x, y, paired = TRUE, exact = TRUE)$p.value)
  nct <- function(q) uniroot(function(m) pt(p$statistic, n - 1, m) - q, c(-37, 37), tol = 1e-12)$root / sqrt(n)
  out(s, "dz lo", nct(0.975)); out(s, "dz hi", nct(0.025))
  h <- p.adjust(pmin(1, abs(x - y) / 10), "holm")
  for (i in seq_along(h)) out(s, paste("holm", i), h[i])
}
`

// TestAgainstR compares methods with R (package stats) on data drawn afresh by a
// fixed seed, beside the fixed reference values.
func TestAgainstR(t *testing.T) {
	if _, err := exec.LookPath("Rscript"); err != nil {
		if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
			t.Fatal("R is missing and CLOCHE_REQUIRE_ALL is set")
		}
		t.Skip("R is missing: install r-base-core to compare with it")
	}
	sets, in := rSets()
	want := runR(t, in)
	if len(want) < 10*len(sets) {
		t.Fatalf("R gave %d values for %d sets", len(want), len(sets))
	}
	for i, s := range sets {
		for what, v := range ours(t, s[0], s[1]) {
			key := fmt.Sprintf("%d,%s", i, what)
			w, ok := want[key]
			if !ok {
				t.Fatalf("R gave no %s", key)
			}
			tol := 1e-8
			if strings.HasPrefix(what, "dz") {
				tol = 1e-6 // R's noncentral t is good to about this
			}
			if math.Abs(v-w) > tol*math.Max(math.Abs(w), 1e-3) {
				t.Errorf("set %s: got %.15g, R says %.15g", key, v, w)
			}
		}
	}
}

// rSets draws 30 pairs of samples without ties, n from 4 to 40, and their CSV.
func rSets() (sets [][2][]float64, csv string) {
	src := rand.New(rand.NewPCG(1908, 6))
	var b strings.Builder
	b.WriteString("set,x,y\n")
	for i := range 30 {
		n := 4 + src.IntN(37)
		x, y := make([]float64, n), make([]float64, n)
		for j := range n {
			person := 50 + 15*src.NormFloat64()
			x[j] = person + 4 + 8*src.NormFloat64()
			y[j] = person + 8*src.NormFloat64()
			fmt.Fprintf(&b, "%d,%.17g,%.17g\n", i, x[j], y[j])
		}
		sets = append(sets, [2][]float64{x, y})
	}
	return sets, b.String()
}

func runR(t *testing.T, in string) map[string]float64 {
	t.Helper()
	cmd := exec.Command("Rscript", "-e", rProgram)
	cmd.Stdin = strings.NewReader(in)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("Rscript: %v\n%s", err, stderr.String())
	}
	rows, err := csv.NewReader(bytes.NewReader(out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{}
	for _, r := range rows {
		v, err := strconv.ParseFloat(r[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		want[r[0]+","+r[1]] = v
	}
	return want
}

// ours computes with this package what rProgram prints.
func ours(t *testing.T, x, y []float64) map[string]float64 {
	t.Helper()
	p, err := ttest.Paired(x, y, ttest.PairedOptions{})
	check(t, err)
	w, err := ttest.Welch(x, y, ttest.TwoSampleOptions{})
	check(t, err)
	s, err := ranks.SignedRank(x, y, ranks.SignedRankOptions{})
	check(t, err)
	d, err := effect.CohenDz(x, y, 0.95)
	check(t, err)
	got := map[string]float64{
		"t": p.T, "p": p.P, "lo": p.CI.Lo, "hi": p.CI.Hi,
		"welch t": w.T, "welch df": w.DF, "welch p": w.P,
		"signed rank p": s.P, "dz lo": d.CI.Lo, "dz hi": d.CI.Hi,
	}
	raw := make([]float64, len(x))
	for i := range x {
		raw[i] = min(1, math.Abs(x[i]-y[i])/10)
	}
	for i, h := range stats.Holm(raw) {
		got[fmt.Sprintf("holm %d", i+1)] = h
	}
	return got
}

func check(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
