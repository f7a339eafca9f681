package analysis_test

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// ofR are the packages that R has, asked once.
var ofR = sync.OnceValues(func() ([]string, error) {
	out, err := exec.Command("Rscript", "--vanilla", "-e", "cat(.packages(TRUE))").Output()
	return strings.Fields(string(out)), err
})

// needsR skips a test without R, or without one of its packages; where everything is
// required it fails instead.
func needsR(t *testing.T, packages ...string) {
	t.Helper()
	missing := ""
	installed, err := ofR()
	for _, name := range packages {
		if !slices.Contains(installed, name) {
			missing = name + " of R is missing: install r-cran-" + strings.ToLower(name) + " to compare with it"
		}
	}
	if err != nil {
		missing = "R is missing: install r-base-core to compare with it"
	}
	switch {
	case missing == "":
	case os.Getenv("CLOCHE_REQUIRE_ALL") == "1":
		t.Fatalf("%s, and CLOCHE_REQUIRE_ALL=1 allows no skip", missing)
	default:
		t.Skip(missing)
	}
}

type programsOfR struct {
	sync.Mutex
	in  io.Writer
	out *bufio.Reader
}

// runningR is one R for all tests, as it takes longer to start, and its packages to load,
// than most programs to run. It reads the path of a folder a line, runs the program there
// with its table as d, and ends what it prints with a line of its own.
var runningR = sync.OnceValues(func() (*programsOfR, error) {
	var r programsOfR
	var err error
	cmd := exec.Command("Rscript", "--vanilla", "-e", `lines <- file("stdin", "r")
while (length(folder <- readLines(lines, 1)) > 0) {
  run <- new.env()
  run$say <- function(...) cat(sprintf("%.17g\n", c(...)))
  tryCatch({
    run$d <- read.csv(file.path(folder, "table.csv"))
    eval(parse(file.path(folder, "program.R")), run)
  }, error = function(e) cat("error:", conditionMessage(e), "\n"))
  cat("that is all\n")
}`)
	if r.in, err = cmd.StdinPipe(); err != nil {
		return nil, err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	r.out = bufio.NewReader(out)
	return &r, cmd.Start() // it ends with its input, and that with the tests
})

// inR runs a program of R (package stats) on a table and returns the numbers that it
// prints.
func inR(t *testing.T, program, table string) (numbers []float64) {
	t.Helper()
	needsR(t)
	r, err := runningR()
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	for name, text := range map[string]string{"program.R": program, "table.csv": table} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	r.Lock()
	defer r.Unlock()
	if _, err := fmt.Fprintln(r.in, folder); err != nil {
		t.Fatal(err)
	}
	for {
		line, err := r.out.ReadString('\n')
		if err != nil {
			t.Fatalf("R ended: %v", err)
		}
		if line = strings.TrimSpace(line); line == "that is all" {
			return numbers
		}
		for _, word := range strings.Fields(line) {
			v, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Errorf("R says %q", line)
				break
			}
			numbers = append(numbers, v)
		}
	}
}

func agree(t *testing.T, what string, got, want []float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d numbers, R has %d", what, len(got), len(want))
	}
	for i := range want {
		if !near(got[i], want[i], 1e-8, 1e-10) {
			t.Errorf("%s, number %d: got %.15g, R has %.15g", what, i, got[i], want[i])
		}
	}
}

// The median difference of a signed-rank plan and its interval, p included; no ties,
// so that R is exact too.
func TestSignedRankPlanAgainstR(t *testing.T) {
	ratings := onThree(24, 11)
	s := threeAttributes()
	s.Plan.Test = study.SignedRank
	want := inR(t, `for (a in c("salt", "sweet", "rich")) {
  x <- d$value[d$attribute == a & d$sample == "A"]; y <- d$value[d$attribute == a & d$sample == "B"]
  w <- wilcox.test(x, y, paired = TRUE, conf.int = TRUE, exact = TRUE)
  say(w$estimate, w$conf.int, w$p.value)
  if (a != "salt") say(wilcox.test(x, y, paired = TRUE, conf.int = TRUE, exact = TRUE, conf.level = 1 - 0.05 / `+
		`2)$conf.int)
}`, table(ratings))
	var got []float64
	for _, f := range analyse(t, s, ratings).Findings {
		got = append(got, f.Value, f.CI.Lo, f.CI.Hi, f.Test.P)
		if f.Role == analysis.Secondary {
			got = append(got, f.Adjusted.Lo, f.Adjusted.Hi)
		}
	}
	agree(t, "signed-rank plan", got, want)
}

// Secondary findings of a t plan: Holm's p, and intervals at 1 − alpha/m.
func TestAdjustedAgainstR(t *testing.T) {
	ratings := onThree(30, 5)
	want := inR(t, `two <- lapply(c("sweet", "rich"), function(a) {
  e <- d[d$attribute == a, ]
  list(t = t.test(e$value[e$sample == "A"], e$value[e$sample == "B"], paired = TRUE, conf.level = 1 - 0.05 / 2),
       w = wilcox.test(e$value[e$sample == "A"], e$value[e$sample == "B"], paired = TRUE, exact = TRUE))
})
say(two[[1]]$t$conf.int, two[[2]]$t$conf.int, p.adjust(sapply(two, function(x) x$t$p.value), "holm"), `+
		`p.adjust(sapply(two, function(x) x$w$p.value), "holm"))`,
		table(ratings))
	f := analyse(t, threeAttributes(), ratings).Findings
	agree(t, "adjusted", []float64{f[1].Adjusted.Lo, f[1].Adjusted.Hi, f[2].Adjusted.Lo, f[2].Adjusted.Hi,
		f[1].Test.PAdjusted, f[2].Test.PAdjusted, f[1].Also[0].PAdjusted, f[2].Also[0].PAdjusted}, want)
}

func table(ratings []analysis.Rating) string {
	var b strings.Builder
	b.WriteString("assessor,position,sample,attribute,value\n")
	for _, r := range ratings {
		fmt.Fprintf(&b, "%s,%d,%s,%s,%.17g\n", r.Assessor, r.Position, r.Sample, r.Attribute, r.Value)
	}
	return b.String()
}

// blindFirst serves A and B at positions 1 and 2, C, D and E at 3 to 5, each order
// within its phase; every seventh serving is not rated when some are missing.
func blindFirst(assessors int, missing bool) []analysis.Rating {
	random := rand.New(rand.NewPCG(15, 48))
	var all []analysis.Rating
	for i := range assessors {
		own := 10 * random.NormFloat64()
		order := append(random.Perm(2), 0, 0, 0)
		for k, x := range random.Perm(3) {
			order[2+k] = 2 + x
		}
		for at, x := range order {
			value := 50 + own + 3*float64(x) + 1.5*float64(at) + 6*random.NormFloat64()
			if missing && (5*i+at)%7 == 0 {
				continue
			}
			all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: at + 1,
				Sample:    study.SampleID(rune('A' + x)),
				Attribute: "salt", Value: min(100, max(0, value))})
		}
	}
	return all
}

// Blind samples first: the part of position that can be told from the samples has
// three of four degrees of freedom.
func TestPositionPartlyAliasedAgainstR(t *testing.T) {
	for name, missing := range map[string]bool{"all rated": false, "some missing": true} {
		t.Run(name, func(t *testing.T) {
			ratings := blindFirst(48, missing)
			want := inR(t, `d$assessor <- factor(d$assessor); d$position <- factor(d$position)
full <- lm(value ~ assessor + sample + position, d)
a <- anova(lm(value ~ assessor + sample, d), full)
say(a$F[2], a$"Pr(>F)"[2], a$Df[2], full$df.residual)`, table(ratings))
			f := analyse(t, panelOf(5), ratings).Findings[0]
			c, ok := checkOf(f, method.Position)
			if !ok {
				t.Fatal("no check of position")
			}
			agree(t, "position", []float64{c.Statistic, c.P, c.DF, c.DF2}, want)
			if c.DF != 3 {
				t.Errorf("%g degrees of freedom, want 3", c.DF)
			}
			said := ""
			for _, w := range f.Warnings {
				if w.Code == analysis.WarnOrderPart {
					said = w.Text
				}
			}
			const parts = "positions 1 and 2 with each other; positions 3, 4 and 5 with each other"
			if !strings.Contains(said, parts) || hasWarning(f.Warnings, analysis.WarnOrderOpen) {
				t.Errorf("said %q, want %q", said, parts)
			}
		})
	}
}
