package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// tastedAgain are ratings of two samples, each so many times by each of n people: what is
// their own scatters by sd, and each rating by noise.
func tastedAgain(random *rand.Rand, s *study.Study, n int, sd, noise float64) (all []analysis.Rating) {
	for i := range n {
		own := 6 + sd*random.NormFloat64()
		for k := range s.Serving.Replicates {
			for j, x := range s.Samples {
				v := 50 + noise*random.NormFloat64()
				if j == 0 {
					v += own
				}
				all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: 2*k + j + 1, Position: 2*k + j + 1,
					Sample: x.ID, Attribute: s.Plan.Attribute, Value: min(100, max(0, v))})
			}
		}
	}
	return all
}

func twiceEach(times int) *study.Study {
	s := panelOf(2)
	s.Languages = []string{"en"}
	s.Serving.Replicates = times
	return s
}

// TestWhatIsNoiseIsToldAsItIs: whether guests differ is said as the test has it, on random
// data and at the ends: nothing varies, all is noise, nothing is noise, two people.
func TestWhatIsNoiseIsToldAsItIs(t *testing.T) {
	seen := map[string]int{}
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 51))
		s := twiceEach(2 + int(seed%3))
		sd, noise := []float64{0, 3, 9, 20}[random.IntN(4)], []float64{0, 4, 12}[random.IntN(3)]
		r := analyse(t, s, tastedAgain(random, s, 2+random.IntN(40), sd, noise))
		f, page := r.Findings[0], report.Build(s, r, report.Options{})
		where := fmt.Sprintf("seed %d, %g, %g", seed, sd, noise)
		if f.People == nil || len(page.Tables) != 1 {
			t.Fatalf("%s: nothing is said of %+v", where, f.People)
		}
		text := strings.Join(page.Tables[0].Said, " ")
		p := f.People
		for claim, is := range map[string]bool{
			"All differences are the same": math.IsNaN(p.P),
			"Guests truly differ":          p.P < 0.05,
			"nearly all guests":            p.P < 0.05 && max(p.SharePositive, 1-p.SharePositive) >= 0.95,
			"of ten guests":                p.P < 0.05 && max(p.SharePositive, 1-p.SharePositive) < 0.95,
			"was not shown":                p.P >= 0.05,
			"They may still differ":        p.P >= 0.05 && p.SDPeopleCI.Hi > 0,
		} {
			if strings.Contains(text, claim) != is {
				t.Errorf("%s: says %q is %t: %q of %+v", where, claim, !is, text, p.PeopleDifferResult)
			}
			if is {
				seen[claim]++
			}
		}
		for code, is := range map[string]bool{analysis.WarnShareByModel: p.P < 0.05,
			analysis.WarnPeopleFloor: p.F < 1} {
			if slices.ContainsFunc(f.Warnings, func(w analysis.Warning) bool { return w.Code == code }) != is {
				t.Errorf("%s: warned of %s is %t: %+v", where, code, !is, p.PeopleDifferResult)
			}
			if is {
				seen[code]++
			}
		}
		if !strings.HasSuffix(text, ".") || strings.Contains(text, "NaN") || strings.Contains(text, "..") {
			t.Errorf("%s: %q", where, text)
		}
		if strings.Contains(page.Limits, "one pair") {
			t.Errorf("%s: says of %d pairs that they are one: %s", where, p.Replicates, page.Limits)
		}
		checkPeopleWritten(t, where, s, r)
	}
	for _, claim := range []string{"All differences are the same", "Guests truly differ", "nearly all guests",
		"of ten guests", "was not shown", "They may still differ", analysis.WarnShareByModel,
		analysis.WarnPeopleFloor} {
		if seen[claim] == 0 {
			t.Errorf("no case says %q", claim)
		}
	}
}

// checkPeopleWritten holds the findings as JSON against the ratings themselves.
func checkPeopleWritten(t *testing.T, where string, s *study.Study, r *analysis.Result) {
	t.Helper()
	fitsSchema(t, s, r)
	var out bytes.Buffer
	if err := report.WriteJSON(&out, s, r); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Findings []struct {
			People *struct {
				N, Pairs    int
				AgreeInSign int `json:"agree_in_sign"`
				Test        struct {
					Method string
					P      *float64
				}
			}
		}
	}
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	p, f := got.Findings[0].People, r.Findings[0].People
	if p == nil || p.N != f.N || p.Pairs != s.Serving.Replicates || p.AgreeInSign != f.AgreeInSign ||
		p.Test.Method != "people-differ" || (p.Test.P == nil) != math.IsNaN(f.P) {
		t.Errorf("%s: written as %+v, found %+v", where, p, f.PeopleDifferResult)
	}
}

// TestOnePairOfEachCannotTell: without a second pair of each guest the report says that it
// cannot tell who is moved from noise, and nothing else is said of it.
func TestOnePairOfEachCannotTell(t *testing.T) {
	s := twiceEach(1)
	r := analyse(t, s, tastedAgain(rand.New(rand.NewPCG(1, 51)), s, 24, 9, 5))
	page := report.Build(s, r, report.Options{})
	if r.Findings[0].People != nil || len(page.Tables) != 0 || !strings.Contains(page.Limits, "one pair of ratings") {
		t.Errorf("%+v, %q", r.Findings[0].People, page.Limits)
	}
}

// TestWhoGaveFewerIsLeftOut: who rated one sample fewer times than planned has no part in it,
// and is counted.
func TestWhoGaveFewerIsLeftOut(t *testing.T) {
	s := twiceEach(2)
	ratings := tastedAgain(rand.New(rand.NewPCG(2, 51)), s, 12, 9, 5)
	r := analyse(t, s, ratings[:len(ratings)-1])
	p, page := r.Findings[0].People, report.Build(s, r, report.Options{})
	if p == nil || p.N != 11 || p.Short != 1 || r.Findings[0].N != 12 {
		t.Fatalf("%+v of %d", p, r.Findings[0].N)
	}
	if below := strings.Join(page.Tables[0].Below, " "); !strings.Contains(below, "1 person who rated") {
		t.Error(below)
	}
}
