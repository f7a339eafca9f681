package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// crossedCase is a study of dishes crossed with names, with random ratings: some at the
// ends of the scale, some skipped, the plan any that such a study may have.
func crossedCase(t testing.TB, seed uint64) (drawnCase, []analysis.Rating) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 21))
	s := &study.Study{Question: study.Naming, Serving: study.Serving{Design: study.All}, Attributes: []study.Attribute{
		{ID: "salt", Ask: "How salty is it?", Scale: scalesDrawn[random.IntN(len(scalesDrawn))]},
		{ID: "liking", Ask: "How much do you like it?", Scale: scalesDrawn[3]}}}
	names := []study.NameID{"", "n1", "n2"}[random.IntN(2):]
	for _, n := range names {
		if n != "" {
			s.Names = append(s.Names, study.Name{ID: n, Text: "name " + string(n)})
		}
	}
	for d := range 2 + random.IntN(2) {
		dish := study.DishID(fmt.Sprint("d", d))
		s.Dishes = append(s.Dishes, study.Dish{ID: dish, Title: fmt.Sprint("Dish ", d)})
		for _, n := range names {
			s.Samples = append(s.Samples, study.Sample{ID: study.SampleID(fmt.Sprintf("%s-%s", dish, n)), Dish: dish,
				Name: n})
		}
	}
	s.Plan = study.AnalysisPlan{EffectOf: study.NameFactor, Levels: [2]string{"n2", "n1"}, Attribute: "salt",
		Test:  []study.Test{study.PairedT, study.SignedRank, study.Equivalence, study.MixedF}[random.IntN(4)],
		Sides: []study.Sides{study.TwoSided, study.Greater, study.Less}[random.IntN(3)], Alpha: 0.05,
		Adjust:         study.Holm,
		SmallestEffect: 0.5}
	switch c, _ := s.Crossed(); random.IntN(4) {
	case 0:
		s.Plan.EffectOf, s.Plan.Levels = study.DishFactor, [2]string{"d1", "d0"}
	case 1:
		if s.Plan.EffectOf, s.Plan.Levels = study.NameByDish, [2]string{}; !c.IsContrast(s.Plan) {
			s.Plan.Test, s.Plan.Sides = study.RMAnova, study.TwoSided
		}
	}
	if s.Plan.Test == study.Equivalence {
		s.Plan.Sides = study.TwoSided
	}
	kind := random.IntN(4)
	var ratings []analysis.Rating
	for i := range 1 + random.IntN(40) {
		for k, x := range s.Samples {
			for _, a := range s.Attributes {
				if random.IntN(30) == 0 {
					continue
				}
				ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(i + 1), Position: 1 +
					(i+k)%len(s.Samples),
					Sample: x.ID, Attribute: a.ID, Value: randomRating(random, a.Scale, kind, k%2)})
			}
		}
	}
	r := analyse(t, s, ratings)
	return drawnCase{s, r, report.Build(s, r, report.Options{})}, ratings
}

// Effects of crossed samples: what is drawn and said is so, over random ratings.
func TestEffectsAreToldAndDrawnAsTheyAre(t *testing.T) {
	drawn, told := 0, map[string]int{}
	for seed := range uint64(randomStudies) {
		c, ratings := crossedCase(t, seed)
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			for _, f := range c.page.Figures {
				o := optionOf(t, f)
				for _, s := range o.Series {
					for _, d := range s.Data {
						if !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
							t.Errorf("%s: %s at %v lies beyond its axes", f.ID, s.Name, d.Value)
						}
					}
				}
			}
			primary := c.r.Findings[0]
			if primary.Kind != analysis.KindFactor || primary.Role != analysis.Primary {
				t.Fatalf("first stands %s, %s", primary.Kind, primary.Role)
			}
			if primary.N > 0 {
				drawn++
				c.checkTableFigure(t, primary, ratings)
				if len(primary.Pair.Each) > 0 && !primary.Verdict.Sameness {
					c.checkDifferences(t)
				}
			}
			for _, f := range c.r.Findings {
				if f.Kind == analysis.KindFactor {
					c.checkEffectWords(t, f, ratings, told)
				}
			}
			c.checkEffectsWritten(t)
		})
	}
	if drawn < randomStudies/2 || told["found"] < 20 || told["not"] < 20 || told["dependence"] < 5 {
		t.Errorf("only %d were drawn, told %v", drawn, told)
	}
}

// checkTableFigure: every rating of the samples compared is a dot at its value, every mean
// and interval where it is.
func (c drawnCase) checkTableFigure(t *testing.T, f analysis.Finding, ratings []analysis.Rating) {
	t.Helper()
	figure, ok := c.figure("factors-" + string(f.Attribute))
	if !ok {
		t.Fatal("no figure by dish and by name")
	}
	o := optionOf(t, figure)
	want, got := map[float64]int{}, map[float64]int{}
	sums := map[study.SampleID][2]float64{}
	for _, r := range ratings {
		if r.Attribute == f.Attribute && slices.Contains(f.Comparison, r.Sample) {
			want[r.Value]++
			sums[r.Sample] = [2]float64{sums[r.Sample][0] + r.Value, sums[r.Sample][1] + 1}
		}
	}
	for _, x := range o.Series {
		if people, err := strconv.Atoi(x.Name); err == nil {
			for _, d := range x.Data {
				got[d.Value[0]] += people
			}
		}
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("dots by value %v, ratings %v", got, want)
	}
	for _, at := range o.named("mean") {
		if !slices.ContainsFunc(f.Comparison, func(x study.SampleID) bool {
			return math.Abs(sums[x][0]/sums[x][1]-at[0]) < 1e-9
		}) {
			t.Errorf("a mean is drawn at %g that no sample has", at[0])
		}
	}
	if n := len(o.named("mean")); n != len(sums) || len(figure.Data.Rows) != len(f.Comparison) {
		t.Errorf("%d means and %d rows of %d samples that were rated, %d compared", n, len(figure.Data.Rows), len(sums),
			len(f.Comparison))
	}
}

// ownContrast is what an assessor said at the first side less the second, anew from the ratings.
func ownContrast(s *study.Study, f analysis.Finding, said map[study.SampleID]float64) float64 {
	c := f.Factor.Table
	if f.Factor.Factor == study.NameByDish {
		return said[c.Cells[0][0]] - said[c.Cells[0][1]] - said[c.Cells[1][0]] + said[c.Cells[1][1]]
	}
	d := 0.0
	for _, x := range s.Samples {
		level := string(x.Dish)
		if f.Factor.Factor == study.NameFactor {
			if level = string(x.Name); level == "" {
				level = study.Blind
			}
		}
		over := float64(len(c.Others(f.Factor.Factor)))
		switch level {
		case f.Factor.Levels[0]:
			d += said[x.ID] / over
		case f.Factor.Levels[1]:
			d -= said[x.ID] / over
		}
	}
	return d
}

func (c drawnCase) checkEffectWords(t *testing.T, f analysis.Finding, ratings []analysis.Rating, told map[string]int) {
	t.Helper()
	v := report.VerdictOf(c.s, f)
	text := strings.Join(v, " ")
	if found := untrue.FindString(text); found != "" {
		t.Errorf("%q in %q", found, text)
	}
	different := f.Verdict.Different()
	if f.Factor.Factor == study.NameByDish && f.Verdict.Code != analysis.TooFew && f.N > 0 {
		told["dependence"]++
		silent := strings.Contains(text, "No dependence at all") || strings.Contains(text, "No answer")
		if different != strings.Contains(text, "does depends on the dish, on") ||
			different == (silent || strings.Contains(text, "It is not shown")) {
			t.Errorf("%s is told as %q", f.Verdict.Code, text)
		}
		if !different && !silent && f.Verdict.Code != analysis.Alike && !strings.Contains(text, "This does not "+
			"show that it does the same") {
			t.Errorf("nothing found is told as the same: %q", text)
		}
	}
	if !f.Factor.Contrast || len(f.Pair.Each) == 0 {
		return
	}
	each := map[string]map[study.SampleID]float64{}
	for _, r := range ratings {
		if r.Attribute == f.Attribute && slices.Contains(f.Comparison, r.Sample) {
			if each[r.Assessor] == nil {
				each[r.Assessor] = map[study.SampleID]float64{}
			}
			each[r.Assessor][r.Sample] = r.Value
		}
	}
	up, down, same, n := 0, 0, 0, 0
	for _, said := range each {
		if len(said) < len(f.Comparison) {
			continue
		}
		n++
		switch d := ownContrast(c.s, f, said); {
		case d > 1e-9:
			up++
		case d < -1e-9:
			down++
		default:
			same++
		}
	}
	if m := f.Pair.Moved; n != f.N || m != (analysis.Moved{Up: up, Down: down, Same: same}) {
		t.Errorf("%d people moved %+v, by the ratings %d: %d up, %d down, %d the same", f.N, m, n, up, down, same)
	}
	if f.Verdict.Code == analysis.TooFew || f.Factor.Factor == study.NameByDish {
		return
	}
	if different {
		told["found"]++
		with := up
		if f.Verdict.Direction < 0 {
			with = down
		}
		if scatter := f.Test.Method != "sign"; scatter &&
			!strings.Contains(text, fmt.Sprintf("%d of %s moved that way", with,
				report.People(n))) {
			t.Errorf("%d of %d went that way: %q", with, n, text)
		}
		return
	}
	told["not"]++
}

// checkEffectsWritten: the findings as JSON and as text have every effect.
func (c drawnCase) checkEffectsWritten(t *testing.T) {
	t.Helper()
	var b bytes.Buffer
	if err := report.WriteJSON(&b, c.s, c.r); err != nil {
		t.Fatal(err)
	}
	var wire struct {
		Findings []struct {
			Kind, Factor string
			Comparison   []string
			Estimates    []struct{ Sample string }
			Difference   *float64
			Means        map[string]float64
		}
	}
	if err := json.Unmarshal(b.Bytes(), &wire); err != nil {
		t.Fatal(err)
	}
	rows := 0
	for _, x := range c.page.Effects {
		rows += len(x.Rows)
	}
	for i, f := range c.r.Findings {
		w := wire.Findings[i]
		if f.Kind != analysis.KindFactor {
			continue
		}
		rows--
		levels := f.Factor.Levels
		if f.Factor.Factor == study.NameByDish {
			levels = f.Factor.Table.Dishes
		}
		if w.Kind != "factor" || w.Factor != strings.ReplaceAll(string(f.Factor.Factor), " by ", ":") ||
			!slices.Equal(w.Comparison, levels) || len(w.Estimates) != len(f.Comparison) ||
			f.Factor.Contrast && w.Difference == nil && !math.IsNaN(f.Value) {
			t.Errorf("the effect of the %s is written as %+v", f.Factor.Factor, w)
		}
	}
	if rows != 0 {
		t.Errorf("%d rows too many on effects", rows)
	}
	if err := report.WriteText(&b, c.s, c.r); err != nil {
		t.Error(err)
	}
}
