package analysis_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Each person's mean over two dishes scatters by 1/√2 of a pair, the difference of two
// differences by √2: power.t.test of R (package stats) at those spreads, both tails.
func TestSizeOfContrastsAgainstR(t *testing.T) {
	s := crossedOf(2, 2)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line}
	s.Panel = study.Panel{Assessors: 40, Sittings: 1}
	s.Plan.SmallestEffect = 6
	var got []float64
	for _, effect := range []study.Factor{study.NameFactor, study.NameByDish} {
		s.Plan.EffectOf, s.Plan.Levels = effect, [2]string{}
		if effect == study.NameFactor {
			s.Plan.Levels = [2]string{"n1", "n2"}
		}
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(err)
		}
		q.Spread = analysis.GivenSpread(14)
		z := findSize(t, q)
		got = append(got, z.Planned.Power, float64(z.Needed.Assessors), z.Planned.Detects)
		if !strings.Contains(fmt.Sprint(z.Assumptions), "14 of a pair") {
			t.Errorf("the size of the %s does not say what spread it takes: %v", effect, z.Assumptions)
		}
	}
	compareAll(t, got, inR(t, `for (sd in 14 * c(1 / sqrt(2), sqrt(2))) {
  f <- function(...) power.t.test(..., sd = sd, type = "paired", strict = TRUE, tol = 1e-12)
  say(f(n = 40, delta = 6)$power, ceiling(f(delta = 6, power = 0.8)$n), f(n = 40, power = 0.8)$delta)
}`, "x\n1\n"), 1e-7)
}

// The size of a mean over dishes says how many more it may take: those of a single pair.
func TestSizeOfContrastsSaysItsLimit(t *testing.T) {
	s := exampleStudy(t, "recipe-or-name")
	q, err := analysis.SizingOf(s)
	if err != nil || q.Contrast != (analysis.SizedContrast{Of: study.NameFactor, Over: 2, Levels: 2}) {
		t.Fatalf("%+v, %v", q.Contrast, err)
	}
	over := findSize(t, q)
	q.Contrast = analysis.SizedContrast{}
	pair := findSize(t, q)
	found := false
	for _, w := range over.Warnings {
		found = found || w.Code == analysis.WarnContrastSpread && strings.Contains(w.Said.String(),
			pointsOf(pair.Needed.Assessors))
	}
	if !found || over.Needed.Assessors >= pair.Needed.Assessors {
		t.Errorf("%d needed, %d for one pair: %v", over.Needed.Assessors, pair.Needed.Assessors, over.Warnings)
	}
	for _, test := range []study.Test{study.RMAnova, study.MixedF} {
		s.Plan.Test, s.Plan.Levels, s.Plan.EffectOf = test, [2]string{}, study.NameByDish
		var refused *analysis.SizingError
		if _, err := analysis.SizingOf(s); !errors.As(err, &refused) || refused.Instead.Text == "" {
			t.Errorf("whether all names do the same is sized by %s: %v", test, err)
		}
	}
}

// The size of three names over two dishes, two of them apart and one midway: power of the F
// test of R (stats, pf and qf) of each person's means, and in the model with every rating.
func TestSizeOfThreeNamesAgainstR(t *testing.T) {
	s := crossedOf(2, 3)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line}
	s.Panel = study.Panel{Assessors: 30, Sittings: 1}
	s.Plan.SmallestEffect, s.Plan.EffectOf, s.Plan.Levels, s.Plan.Compare = 6, study.NameFactor, [2]string{},
		[2]study.SampleID{}
	var got []float64
	for _, test := range []study.Test{study.MixedF, study.RMAnova} {
		s.Plan.Test = test
		q, err := analysis.SizingOf(s)
		if err != nil || q.Contrast != (analysis.SizedContrast{Of: study.NameFactor, Over: 2, Levels: 3}) {
			t.Fatalf("%s: %+v, %v", test, q.Contrast, err)
		}
		q.Spread = analysis.GivenSpread(14)
		z := findSize(t, q)
		got = append(got, z.Planned.Power, float64(z.Needed.Assessors))
		if text := fmt.Sprint(z.Assumptions); !strings.Contains(text, "two names differ by that much") {
			t.Errorf("%s: %s", test, text)
		}
	}
	want := inR(t, `f <- function(n, left) { l <- n * (6 * sqrt(2) / 14)^2; d <- left(n)
  pf(qf(.95, 2, d), 2, d, ncp = l, lower.tail = FALSE) }
for (left in list(function(n) n * 5 - 10, function(n) 2 * (n - 1))) { m <- 4; while (f(m, left) < .8) m <- m + 1; `+
		`say(f(30, left), m) }`,
		"x\n1\n")
	for i, near := range []float64{1e-7, 0, 0.03, 1.5} { // the corrected F is simulated: a little less
		if math.Abs(got[i]-want[i]) > near {
			t.Errorf("number %d: got %v, R has %v", i, got[i], want[i])
		}
	}
}

func pointsOf(n int) string { return analysis.Points(math.Round(float64(n))) }
