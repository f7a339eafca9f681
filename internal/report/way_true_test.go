package report_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// promised is what was expected where a warning of it is due.
var promised = map[string][]analysis.Expectation{
	analysis.WarnNothingPromised:  saidBefore("a", near),
	analysis.WarnNamedBeforeBlind: saidBefore("a", shifted(near, 20, 22)),
}

func init() {
	for code := range promised {
		withWarning[code] = func() (*study.Study, []analysis.Rating) {
			return blindAndNamed(), paired(ten, near)
		}
	}
}

func saidBefore(name study.NameID, values []float64) (all []analysis.Expectation) {
	for i, v := range values {
		all = append(all, analysis.Expectation{Assessor: fmt.Sprint(i + 1), Name: name, Attribute: "salt", Value: v})
	}
	return all
}

// blindAndNamed is a study of one dish under a name, A, and blind, B.
func blindAndNamed() *study.Study {
	s := panelOf(2)
	s.Dishes = s.Dishes[:1]
	s.Names = []study.Name{{ID: "a", Text: "brown butter"}}
	s.Samples[0].Name, s.Samples[1].Dish = "a", s.Samples[0].Dish
	return s
}

var wayNumbers = regexp.MustCompile(`moved (\S+) % of that way \((\S+) to (\S+) %\)|` +
	`\((\S+) % of the way, (\S+) to (\S+) %\)`)

// TestWaySaysWhatItsIntervalSays: of any few or many answers, ends of the scale included, the
// sentence follows from the interval alone, its numbers lie on the side of 0 and of 100 that
// they are on, and the figure has the three means of who did all three.
func TestWaySaysWhatItsIntervalSays(t *testing.T) {
	said := map[dose.Assimilation]int{}
	rapid.Check(t, func(t *rapid.T) {
		s, n := blindAndNamed(), rapid.IntRange(1, 30).Draw(t, "people")
		promise := rapid.SampledFrom([]float64{-60, -20, 0, 1, 20, 25}).Draw(t, "promise")
		share := rapid.SampledFrom([]float64{-0.5, 0, 0.5, 1, 1.8}).Draw(t, "share")
		ends := rapid.SampledFrom([][2]float64{{0, 100}, {40, 60}, {100, 100}}).Draw(t, "levels")
		scatter := rapid.SampledFrom([]float64{0, 1, 5, 20}).Draw(t, "scatter")
		var e, b, i []float64
		on := func(v float64) float64 {
			return min(100, max(0, math.Round(v+scatter*rapid.Float64Range(-1, 1).Draw(t, "own"))))
		}
		for range n {
			level := rapid.Float64Range(ends[0], ends[1]).Draw(t, "level")
			e, b, i = append(e, on(level+promise)), append(b, on(level)), append(i, on(level+share*promise))
		}
		r, err := analysis.Analyse(s, paired(i, b), analysis.Options{Expected: saidBefore("a", e)})
		if err != nil {
			t.Fatal(err)
		}
		w, p := r.Ways[0], report.Build(s, r, report.Options{})
		text := p.Expected.Said[len(p.Expected.Said)-1].Text
		checkWay(t, w, text)
		if !w.TooFew {
			said[w.Verdict]++
		}
		at := slices.IndexFunc(p.Figures, func(f report.Figure) bool { return f.ID == "ways" })
		if (at >= 0) != (n > 1) {
			t.Fatalf("%d people, figure at %d", n, at)
		}
		if at < 0 {
			return
		}
		o := optionOf(t, p.Figures[at])
		for what, want := range map[string]float64{"expected": mean(e), "blind": mean(b), "named": mean(i)} {
			if got := o.named(what); len(got) != 1 || math.Abs(got[0][0]-want) > 1e-9 {
				t.Errorf("%s is drawn at %v, want %g", what, got, want)
			} else if !o.XAxis[0].holds(got[0][0]) {
				t.Errorf("%v lies beyond the axis", got)
			}
		}
	})
	if testing.Short() { // which draws few
		return
	}
	for _, v := range []dose.Assimilation{dose.PartOfTheWay, dose.PerhapsAllTheWay, dose.BeyondExpected,
		dose.AwayFromExpected, dose.NoneOrPart, dose.WayUndecided, dose.WayNotEstimable} {
		if said[v] == 0 {
			t.Errorf("never drawn: %s", v)
		}
	}
}

func mean(x []float64) (m float64) {
	for _, v := range x {
		m += v / float64(len(x))
	}
	return m
}

func checkWay(t *rapid.T, w analysis.Way, text string) {
	ci := w.Fieller.CI
	bounded := w.Fieller.Type == dose.Bounded
	for words, want := range map[string]bool{
		"part of the way (assimilation)": bounded && ci.Lo > 0 && ci.Hi < 1,
		"possibly all the way":           bounded && ci.Lo > 0 && ci.Lo <= 1 && ci.Hi >= 1,
		"past what was expected":         bounded && ci.Lo > 1,
		"(contrast)":                     bounded && ci.Hi < 0,
		"moved at all is open":           bounded && ci.Lo <= 0 && ci.Hi >= 0 && ci.Hi < 1,
		"neither none of it nor all":     bounded && ci.Lo <= 0 && ci.Hi >= 1,
		"not estimable":                  !bounded,
		"too few did all three":          false,
	} {
		want = want && !w.TooFew || w.TooFew && words == "too few did all three"
		if strings.Contains(text, words) != want {
			t.Errorf("interval %v (%s, too few: %t): said %q", ci, w.Fieller.Type, w.TooFew, text)
		}
	}
	m := wayNumbers.FindStringSubmatch(text)
	if (m != nil) != (bounded && !w.TooFew) {
		t.Fatalf("no share in %q", text)
	}
	if m == nil {
		return
	}
	if m[1] == "" {
		m = m[3:]
	}
	for i, want := range []float64{w.Fieller.Ratio, ci.Lo, ci.Hi} {
		got, err := strconv.ParseFloat(strings.Replace(m[1+i], "−", "-", 1), 64)
		if err != nil || math.Abs(got-100*want) > 0.5 {
			t.Errorf("%s for %g", m[1+i], want)
		}
		for _, edge := range []float64{0, 100} {
			if i > 0 && math.Abs(100*want-edge) > 0.005 && got == edge {
				t.Errorf("an end at %g looks like %g: %q", 100*want, edge, text)
			}
		}
	}
}
