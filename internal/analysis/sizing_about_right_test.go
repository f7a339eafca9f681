package analysis_test

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// What a panel of 50 tells of answers about right, each number by R 4.2.2:
// binom.test(10, 50)$conf.int is 0.100 to 0.337; power.t.test(15, delta = 1.06, power = NULL) is
// 0.80 (groups of 10 and 30 count as two of 15); the power to find who moves is
// sum(outer(...)) over dbinom(m, 50, .4) and binom.test(x, m)$p.value < .05 with x ~ Bin(m, .75).
func TestSizeOfAboutRight(t *testing.T) {
	s := sweetness(2, 3)
	s.Panel.Assessors, s.Plan.SmallestEffect = 50, 1
	q, err := analysis.SizingOf(s)
	if err != nil {
		t.Fatal(err)
	}
	text := ""
	for _, w := range findSize(t, q).Warnings {
		if w.Code == analysis.WarnAboutRightSize {
			text = w.Said.String()
		}
	}
	t.Log(text)
	m := regexp.MustCompile(`when 10 of the 50 .* to be (\S+) % to (\S+) % of .* than 30 .* chance of 80 % from ` +
		`(\S+) points on` +
		`.* scatter by 1.84 .* chance of (\S+) %`).FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("%q", text)
	}
	for i, want := range []float64{10, 34, 1.06 * 1.84, 100 * 0.5466923} {
		got, err := strconv.ParseFloat(m[i+1], 64)
		if tolerance := map[int]float64{2: 0.05}[i] + 0.51*map[bool]float64{true: 1}[i != 2]; err != nil ||
			math.Abs(got-want) > tolerance {
			t.Errorf("number %d is %s, want %g", i+1, m[i+1], want)
		}
	}
	s.Attributes = s.Averaged()
	s.Plan.Liking = ""
	if q, err = analysis.SizingOf(s); err != nil || q.AboutRight != (analysis.SizedAboutRight{}) {
		t.Errorf("without the question: %+v, %v", q.AboutRight, err)
	}
	s = sweetness(2, 3)
	s.Serving.Design, s.Plan.Test, s.Panel.Assessors = study.One, study.WelchT, 60
	if q, err = analysis.SizingOf(s); err != nil || q.AboutRight.Moves || q.AboutRight.Each != (analysis.Part{Count: 1,
		Of: 2}) {
		t.Errorf("one sample each: %+v, %v", q.AboutRight, err)
	}
}
