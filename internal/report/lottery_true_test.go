package report_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/report"
	"cloche/internal/stats/lottery"
	"cloche/internal/study"
)

// lotteryCase is a study of two recipes whose plan is known, from two people to forty, by
// its lottery or with that beside; some rate alike, at the ends, or all the same.
func lotteryCase(t *testing.T, seed uint64) (*study.Study, *design.Plan, []analysis.Rating) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 1935))
	s := panelOf(2)
	if s.Plan.Test = study.Lottery; seed%3 == 0 {
		s.Plan.Test = study.PairedT
	}
	s.Plan.Sides = []study.Sides{study.TwoSided, study.Greater, study.Less}[random.IntN(3)]
	s.Plan.SmallestEffect = []float64{0, 8}[random.IntN(2)]
	s.Panel.Assessors, s.Panel.Sittings = []int{2, 3, 6, 8, 9, 12, 20, 33, 40}[random.IntN(9)], 1
	plan, err := design.Draw(s, design.Options{Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	kind := []string{"spread", "spread", "alike", "apart", "all the same", "ends"}[random.IntN(6)]
	shift := float64(random.IntN(4) * 10 * (1 - 2*random.IntN(2)))
	var ratings []analysis.Rating
	for _, v := range plan.Servings {
		value := 50.0
		switch kind {
		case "spread":
			value = 40 + 20*random.Float64()
		case "alike":
			value = 40 + float64(random.IntN(2))*10
		case "ends":
			value = 100 * float64(random.IntN(2))
		}
		if kind != "all the same" && kind != "ends" {
			value += shift * float64(v.Sample)
		}
		ratings = append(ratings, analysis.Rating{Assessor: analysis.AssessorLabel(int(v.Assessor)),
			Position: int(v.Position), Sample: plan.Samples[v.Sample], Attribute: "salt",
			Value: math.Round(min(100, max(0, value)))})
	}
	return s, plan, ratings
}

// countedAnew is the lottery of two samples in blocks of two, whoever is left over in one of
// their own, counted anew: every way to swap the blocks, or nothing where they are too many.
func countedAnew(ratings []analysis.Rating, sides study.Sides) (p float64, ways int) {
	people := 0
	for _, r := range ratings {
		var i int
		if _, err := fmt.Sscan(r.Assessor, &i); err == nil {
			people = max(people, i)
		}
	}
	blocks := make([]float64, (people+1)/2)
	sum := 0.0
	for _, r := range ratings {
		var i int
		if _, err := fmt.Sscan(r.Assessor, &i); err != nil {
			return math.NaN(), 0
		}
		v := r.Value
		if r.Sample == "B" {
			v = -v
		}
		blocks[(i-1)/2] += v
		sum += v
	}
	if len(blocks) > 12 {
		return math.NaN(), 0
	}
	ways = 1 << len(blocks)
	up, down := 0.0, 0.0
	for w := range ways {
		other := 0.0
		for i, v := range blocks {
			if w>>i&1 == 1 {
				v = -v
			}
			other += v
		}
		if other >= sum {
			up++
		}
		if other <= sum {
			down++
		}
	}
	up, down = up/float64(ways), down/float64(ways)
	switch sides {
	case study.Greater:
		return up, ways
	case study.Less:
		return down, ways
	}
	return min(1, 2*min(up, down)), ways
}

// What the report says of the lottery is so, in words, in the table of how sure it is, and
// in the text: its p, its interval, how many draws there were and whether they were all,
// whether it agrees with the planned test, and that it can find nothing.
func TestLotteryHoldsOnRandomStudies(t *testing.T) {
	seen := map[string]int{}
	for seed := range uint64(240) {
		s, plan, ratings := lotteryCase(t, seed)
		r, err := analysis.Analyse(s, ratings, analysis.Options{Lottery: &analysis.Lottery{Plan: plan}})
		if err != nil {
			t.Fatal(err)
		}
		page := report.Build(s, r, report.Options{})
		var text bytes.Buffer
		must(t, report.WriteText(&text, s, r))
		c := saidOfLottery{t, seed, s, r.Findings[0], page, text.String(), seen}
		p, ways := countedAnew(ratings, s.Plan.Sides)
		if s.Plan.Test == study.Lottery {
			c.planned(p, ways)
		} else {
			c.beside(p, ways)
		}
		if found := untrue.FindString(strings.Join(page.Verdict, " ") + page.Next + text.String()); found != "" &&
			!strings.Contains(found, "not computed") {
			t.Errorf("case %d: %q in %s", seed, found, text.String())
		}
	}
	for _, what := range []string{"exact", "random draws", "no interval", "nothing to find", "beside, agrees",
		"beside, does not", "one", "every draw alike"} {
		if seen[what] == 0 {
			t.Errorf("never %s: %v", what, seen)
		}
	}
}

type saidOfLottery struct {
	t    *testing.T
	seed uint64
	s    *study.Study
	f    analysis.Finding
	page report.Page
	text string
	seen map[string]int
}

func (c saidOfLottery) errorf(format string, args ...any) {
	c.t.Helper()
	c.t.Errorf("case %d: %s\n%s", c.seed, fmt.Sprintf(format, args...), c.text)
}

// title: what the test is called says how many draws there were.
func (c saidOfLottery) title(name string, ways int) {
	exact := ways > 0 && ways <= lottery.Draws
	if is := strings.Contains(name, ", exact"); is != exact || is == strings.Contains(name, "random draws") {
		c.errorf("%d ways, and it is called %q", ways, name)
	}
	c.seen[map[bool]string{true: "exact", false: "random draws"}[exact]]++
}

// near: a p-value is what counting gives, within what random draws leave open.
func (c saidOfLottery) near(p, want float64, ways int, draws float64) {
	within := 1e-12
	if ways == 0 {
		return
	}
	if float64(ways) > draws {
		within = 5*math.Sqrt(want*(1-want)/draws) + 2/draws
	}
	if !(math.Abs(p-want) <= within) || p <= 0 || p > 1 {
		c.errorf("p is %g, counted %g in %d ways", p, want, ways)
	}
	if want == 1 {
		c.seen["one"]++
	}
}

func (c saidOfLottery) planned(p float64, ways int) {
	f := c.f
	if first := c.page.Sure; first != nil && strings.HasPrefix(first.Rows[0].How, "as planned: ") !=
		(f.Test.Method == "lottery") {
		c.errorf("tested by %s, told as %q", f.Test.Title, first.Rows[0].How)
	}
	if f.Test.Method != "lottery" { // another test stands in its place where the draw decides nothing
		if c.seen["every draw alike"]++; ways > 0 && p < 1 || !strings.Contains(c.text, "the difference is the same") {
			c.errorf("tested by %s, and the lottery gives %g", f.Test.Title, p)
		}
		return
	}
	c.title(f.Test.Title, ways)
	c.near(f.Test.P, p, ways, lottery.Draws)
	if strings.Contains(f.Test.Title, "random draws") && (f.Test.P < 1/(1.0+lottery.Draws) ||
		!strings.Contains(f.Test.Title, fmt.Sprint(lottery.Draws))) {
		c.errorf("p = %g of %s", f.Test.P, f.Test.Title)
	}
	few, said := false, strings.Contains(c.text, "it can find nothing at 0.05")
	if least := 1 / float64(ways); ways > 0 {
		if few = 2*least >= 0.05; c.s.Plan.Sides != study.TwoSided {
			few = least >= 0.05
		}
	}
	all := true // no difference anywhere: every draw gives the same
	for _, v := range f.Pair.Each {
		all = all && v.First == v.Second
	}
	if !all && few && !said || !few && said && f.Test.P < 0.05 {
		c.errorf("few draws: %t, said: %t", few, said)
	}
	if said {
		c.seen["nothing to find"]++
	}
	verdict := strings.Join(c.page.Verdict, " ")
	if f.CI.Absent() {
		c.seen["no interval"]++
		if strings.Contains(verdict, "In numbers") && !strings.Contains(verdict, "interval not computed") {
			c.errorf("no interval, and it says %s", verdict)
		}
		return
	}
	if !(f.CI.Lo <= f.Value+1e-9 && f.Value-1e-9 <= f.CI.Hi) {
		c.errorf("the interval %v leaves out the difference %g", f.CI, f.Value)
	}
	if zero := f.CI.Lo <= 1e-9 && f.CI.Hi >= -1e-9; c.s.Plan.Sides == study.TwoSided && zero != (f.Test.P > 0.05) &&
		math.Abs(f.Test.P-0.05) > 0.001 {
		c.errorf("the interval %v and p = %g say different things", f.CI, f.Test.P)
	}
}

func (c saidOfLottery) beside(p float64, ways int) {
	for i, x := range c.f.Rechecks {
		if x.Method != "lottery" {
			continue
		}
		row := c.page.Sure.Rows[i+1]
		exact := strings.Contains(x.What, ", exact")
		if exact && ways == 0 || row.How != x.What || row.People != fmt.Sprint(x.N) {
			c.errorf("%+v of %d ways is told as %+v", x, ways, row)
		}
		draws := 9_999.0
		if exact {
			draws = math.Inf(1)
		}
		c.near(x.P, p, ways, draws)
		agrees := (x.P < 0.05) == (c.f.Test.P < 0.05) &&
			(c.f.Test.P >= 0.05 || math.Signbit(x.Value) == math.Signbit(c.f.Value))
		if agrees != x.Agrees || (row.Agrees == "yes") != agrees {
			c.errorf("p = %g beside %g: agrees %t, told as %q", x.P, c.f.Test.P, x.Agrees, row.Agrees)
		}
		if x.CI.Absent() != (row.Interval == "not computed") {
			c.errorf("interval %v is told as %q", x.CI, row.Interval)
		}
		c.seen[map[bool]string{true: "beside, agrees", false: "beside, does not"}[agrees]]++
		if exact {
			c.seen["exact"]++
		}
	}
}
