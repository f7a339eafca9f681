package calibrate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// oddities are what may go otherwise than planned for one person: how their answers are
// spoilt, the row of the table without them, and the warning that names them.
var oddities = []struct {
	without, code string
	spoil         func(*analysis.Rating)
}{
	{"without those for whom the blind was broken", analysis.WarnBlindBroken,
		func(r *analysis.Rating) { r.Revealed = true }},
	{"without those whom a wrong plate reached", analysis.WarnWrongPlate,
		func(r *analysis.Rating) { r.WrongPlate = true }},
	{"without those who tasted too early", analysis.WarnTastedEarly,
		func(r *analysis.Rating) { r.TastedEarly = true }},
	{"without those who talked about it", analysis.WarnTalked,
		func(r *analysis.Rating) { r.Talked = true }},
	{"without those with a plate of which part was spilt", analysis.WarnSpilt,
		func(r *analysis.Rating) { r.Spilt = true }},
	{"without those who felt unwell", analysis.WarnUnwell,
		func(r *analysis.Rating) { r.Unwell = true }},
	{"without those with a plate that nobody noted as set down", analysis.WarnNotSetDown,
		func(r *analysis.Rating) { r.NotSetDown = true }},
	{"without those who answered out of turn", analysis.WarnOutOfTurn,
		func(r *analysis.Rating) { r.OutOfTurn = true }},
	{"without those who answered late", analysis.WarnAnsweredLate,
		func(r *analysis.Rating) { r.Seconds = 1201 }},
	{"without those who answered too soon to have tasted", analysis.WarnAnsweredSoon,
		func(r *analysis.Rating) { r.Seconds = 9.5 }},
}

// TestEveryKindIsReckonedWithoutThem: of every kind of plan, whoever was served or answered
// otherwise than planned is named and counts; the table beside the primary finding has it
// without them, which is what an analysis of the others finds.
func TestEveryKindIsReckonedWithoutThem(t *testing.T) {
	kinds, err := Kinds()
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range kinds {
		t.Run(k.Name, func(t *testing.T) {
			plan, err := draw(k.Study, 5)
			if err != nil {
				t.Fatal(err)
			}
			ratings := Answers(k.Study, plan, 5, rand.New(rand.NewPCG(5, 5)))
			spoilt := map[string]string{}
			for i := range ratings {
				who := ratings[i].Assessor
				ratings[i].Seconds = 60
				if n, err := strconv.Atoi(who); err == nil && n <= len(oddities) {
					x := oddities[n-1]
					x.spoil(&ratings[i])
					spoilt[x.without] = who
				}
			}
			known := Knowing(k.Study, plan)
			r, err := analysis.Analyse(k.Study, ratings, known)
			if err != nil {
				t.Fatal(err)
			}
			checkNamed(t, r, spoilt)
			f := r.Findings[0]
			seen := map[string]bool{}
			for _, x := range f.Rechecks {
				who := spoilt[x.What]
				if rest, ok := strings.CutPrefix(x.What, "without assessor "); ok {
					who, _, _ = strings.Cut(rest, ",")
					seen["most"] = true
				}
				if who == "" {
					continue
				}
				seen[x.What] = true
				rest := slices.DeleteFunc(slices.Clone(ratings),
					func(r analysis.Rating) bool { return r.Assessor == who })
				again, err := analysis.Analyse(k.Study, rest, known)
				if err != nil {
					t.Fatal(err)
				}
				checkAgain(t, k.Study, f, x, again.Findings[0])
			}
			for i, x := range oddities {
				concerned := slices.ContainsFunc(ratings, func(r analysis.Rating) bool {
					return r.Assessor == fmt.Sprint(i+1) && slices.Contains(f.Comparison, r.Sample)
				})
				if concerned && !seen[x.without] {
					t.Errorf("nothing is reckoned %s: %+v", x.without, f.Rechecks)
				}
			}
			if !seen["most"] {
				t.Error("nothing is reckoned without a single assessor")
			}
		})
	}
}

func checkNamed(t *testing.T, r *analysis.Result, spoilt map[string]string) {
	t.Helper()
	for _, x := range oddities {
		at := slices.IndexFunc(r.Warnings, func(w analysis.Warning) bool { return w.Code == x.code })
		if at < 0 {
			t.Errorf("no warning %s", x.code)
			continue
		}
		named := strings.HasPrefix(r.Warnings[at].Text, "assessor "+spoilt[x.without]+" ")
		if !named && x.code != analysis.WarnBlindBroken && x.code != analysis.WarnNotSetDown {
			t.Errorf("%s names others than assessor %s: %s", x.code, spoilt[x.without], r.Warnings[at].Text)
		}
	}
}

// checkAgain holds what was reckoned beside an analysis of the others. Of a planned lottery
// fewer draws are made beside it. Where tasting may stop early the others are reckoned at the end and the
// looks that there were, while an analysis of them alone has looks at other shares of the panel, or evidence
// that was larger on the way: there people and mean agree, p nearly or upwards.
func checkAgain(t *testing.T, s *study.Study, f analysis.Finding, x analysis.Recheck, again analysis.Finding) {
	t.Helper()
	value := again.Value
	first, second, _ := f.FurthestApart()
	for _, p := range again.Panel.Pairs {
		if p.First == first && p.Second == second {
			value = p.Difference
		}
	}
	if again.Kind == analysis.KindNamedDose { // its worth may be without a value
		value = again.Dose.Laid.Shift.Value
	}
	for _, p := range again.Ranking.Pairs {
		if p.First == first && p.Second == second {
			value = p.Share
		}
	}
	if word, pair, ok := f.WidestWord(); ok {
		value = differenceOn(again, word.ID, pair)
	}
	if of, side, ok := f.SurestDrop(); ok {
		value, _ = again.DropOn(of, side)
	}
	near := func(a, b, by float64) bool {
		return a == b || math.Abs(a-b) <= by*(1+math.Abs(b)) || math.IsNaN(a) && math.IsNaN(b)
	}
	within := 1e-6
	if s.Plan.Test == study.Lottery {
		within = 0.03
	}
	if s.Plan.LooksEarly() {
		if x.N != again.N || !near(x.Value, value, 0.005) || x.P < again.Test.P-0.005 ||
			len(s.Plan.Looks) > 0 && !near(x.P, again.Test.P, 0.005) {
			t.Errorf("%s: %d, %g, p %g; an analysis of the others has %d, %g, p %g", x.What, x.N, x.Value, x.P, again.N,
				value, again.Test.P)
		}
	} else if x.N != again.N || !near(x.Value, value, 1e-6) || !near(x.P, again.Test.P, within) {
		t.Errorf("%s: %d, %g, p %g; an analysis of the others has %d, %g, p %g", x.What, x.N, x.Value, x.P, again.N,
			value, again.Test.P)
	}
	if f.Kind == analysis.KindPanel || f.Kind == analysis.KindRanking || f.Kind == analysis.KindWords {
		return
	}
	found := x.P < s.Plan.Alpha
	agree := found == (f.Test.P < s.Plan.Alpha)
	if agree != x.Agrees && !found {
		t.Errorf("%s: p %g and %g: agrees %t", x.What, f.Test.P, x.P, x.Agrees)
	}
}

// differenceOn is how many more ticked a word for the first of two samples.
func differenceOn(f analysis.Finding, word study.AttributeID, pair analysis.WordPair) float64 {
	for _, w := range f.Words.Words {
		for _, p := range w.Pairs {
			switch {
			case w.ID == word && p.First == pair.First && p.Second == pair.Second:
				return p.Difference
			case w.ID == word && p.First == pair.Second && p.Second == pair.First:
				return -p.Difference
			}
		}
	}
	return math.NaN()
}

// TestSameAnswerThroughoutIsNamed: whoever gives one answer to everything is named and
// counts, and the finding stands without them too; three alike are too few to say so.
func TestSameAnswerThroughoutIsNamed(t *testing.T) {
	kinds, err := Kinds()
	if err != nil {
		t.Fatal(err)
	}
	named := 0
	for _, k := range kinds {
		s := *k.Study
		of := s.Question.Response()
		if !s.Question.CollectsRatings() && of != study.RankAll && of != study.TickWords {
			s.Serving.Replicates = 4
		}
		plan, err := draw(&s, 6)
		if err != nil {
			t.Fatal(err)
		}
		ratings := Answers(&s, plan, 6, rand.New(rand.NewPCG(6, 6)))
		answers := answerAlike(&s, ratings, "2")
		r, err := analysis.Analyse(&s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		at := slices.IndexFunc(r.Warnings, func(w analysis.Warning) bool {
			return w.Code == analysis.WarnSameAnswer && regexp.MustCompile(`\b2\b`).MatchString(w.Text)
		})
		without := slices.ContainsFunc(r.Findings[0].Rechecks, func(x analysis.Recheck) bool {
			return slices.Contains(x.Without, "2") && strings.HasPrefix(x.What, "without those who ")
		})
		if (at >= 0) != (answers >= 4) || without != (answers >= 4) {
			t.Errorf("%s: %d answers alike, named %t, left out for a check %t", k.Name, answers, at >= 0, without)
		}
		if at >= 0 {
			named++
		}
	}
	if named == 0 {
		t.Error("nobody was ever named")
	}
}

// answerAlike has somebody answer the same throughout, and returns how often. An order is
// given once.
func answerAlike(s *study.Study, ratings []analysis.Rating, who string) (answers int) {
	turn, place := 0, 0
	for i := range ratings {
		r := &ratings[i]
		if r.Assessor != who {
			continue
		}
		if place++; r.Turn != turn {
			turn, place = r.Turn, 0
		}
		if s.Question.CollectsRatings() || place == 0 {
			answers++
		}
		switch s.Question.Response() {
		case study.ChooseOne:
			r.Value = map[bool]float64{true: 1}[place == 0]
		case study.SayOneOfTwo:
			r.Value = 1
		case study.TickWords:
			r.Value = map[bool]float64{true: 1}[place == 0] // the first word of each serving
		case study.SortIntoPairs:
			r.Value = float64(place/2 + 1)
		case study.RankAll:
			return 1
		default:
			a, _ := s.Attribute(r.Attribute)
			r.Value = a.Scale.Min() // the same place on every scale
		}
	}
	return answers
}
