package report_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/report"
	"cloche/internal/study"
)

// drawAnswers answers the plan of an example study at random, by as many assessors.
func drawAnswers(t *rapid.T, s *study.Study, plan *design.Plan) []analysis.Rating {
	id := s.Question.Response().Answer()
	var all []analysis.Rating
	people := rapid.IntRange(1, min(16, plan.Assessors)).Draw(t, "people")
	lean := rapid.IntRange(0, 3).Draw(t, "lean")
	for a := range people {
		for x := range plan.Turns(a) {
			var rows []analysis.Rating
			reference := study.SampleID("")
			for _, v := range x.Servings {
				switch v.Role {
				case design.Reference:
					reference = plan.Samples[v.Sample]
				case design.Rated:
					rows = append(rows, analysis.Rating{Assessor: fmt.Sprint(a + 1), Turn: int(v.Turn),
						Position: int(v.Position), Sample: plan.Samples[v.Sample], Reference: reference, Attribute: id})
				}
			}
			if len(rows) == 0 {
				continue
			}
			pick := rapid.IntRange(0, len(rows)-1).Draw(t, "pick")
			for i, r := range rows { // some panels lean to one sample
				if lean == 3 && r.Sample == s.Samples[0].ID {
					pick = i
				}
			}
			for i := range rows {
				if id == study.ChoiceAnswer {
					rows[i].Value = float64(btoi(i == pick))
				} else {
					rows[i].Value = float64((pick + a + int(x.Number)*lean) % 2)
				}
			}
			all = append(all, rows...)
		}
	}
	return all
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

var counted = regexp.MustCompile(`(\d+) of (\d+)`)

// What is said of choices holds for the answers, whatever they are, and speaks of the
// question that was asked.
func TestChoiceSentencesHoldOnRandomAnswers(t *testing.T) {
	for _, name := range []string{"browned-butter", "made-yesterday", "house-custard", "saltier-of-two",
		"smokiest-of-three", "our-custard-or-not", "same-or-different"} {
		src, err := os.ReadFile("../../studies/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, problems := study.Parse(name, src)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		plan, err := design.Draw(s, design.Options{Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				r, err := analysis.Analyse(s, drawAnswers(t, s, plan), analysis.Options{})
				if err != nil {
					t.Fatal(err)
				}
				f, p := r.Findings[0], report.Build(s, r, report.Options{})
				checkFirstLines(t, p)
				text := strings.Join(p.Verdict, " ") + " " + p.Asked
				if found := untrue.FindString(text); found != "" {
					t.Errorf("%q in %q", found, text)
				}
				liked := s.Question == study.Preference
				for word, may := range map[string]bool{
					" like ": liked, "preference": liked, "Asked “": f.Choice.Preferred != nil && !liked,
					"Guessing":     f.Choice.Told != nil && f.Verdict.Code != analysis.TooFew,
					"was said":     f.Choice.Said != nil,
					"when asked “": f.Choice.Told != nil && f.Attribute != "",
				} {
					if strings.Contains(text, word) && !may {
						t.Errorf("says %q: %q", word, text)
					}
				}
				if f.Attribute != "" && !strings.Contains(text, s.Attributes[0].Ask) {
					t.Errorf("does not say what was asked: %q", text)
				}
				checkAnswersCounted(t, text, f)
				if different := strings.Contains(text, "more people choose") ||
					strings.HasPrefix(text, "People tell") ||
					strings.HasPrefix(text, "People find") ||
					strings.HasPrefix(text, "More people like"); different != f.Verdict.Different() {
					t.Errorf("verdict %s: %q", f.Verdict.Code, text)
				}
				if d := f.Value; f.Choice.Preferred != nil && f.Verdict.Different() &&
					f.Verdict.Direction != int(math.Copysign(1, d-0.5)) {
					t.Errorf("direction %d at a share of %g", f.Verdict.Direction, d)
				}
			})
		})
	}
}

// checkAnswersCounted: no count is larger than what it is of, and the numbers of a
// finding are those of its sentence.
func checkAnswersCounted(t *rapid.T, text string, f analysis.Finding) {
	for _, m := range counted.FindAllStringSubmatch(text, -1) {
		x, _ := strconv.Atoi(m[1])
		n, _ := strconv.Atoi(m[2])
		if x > n {
			t.Errorf("%q in %q", m[0], text)
		}
	}
	want := ""
	switch c := f.Choice; {
	case c.Told != nil:
		want = fmt.Sprintf("%d of %d answers were right", c.Told.Right, f.N)
	case c.Said != nil && c.Said.N1 > 0:
		want = fmt.Sprintf("was said of %d of %d ", c.Said.X1, c.Said.N1)
	case c.Preferred != nil:
		want = fmt.Sprintf("%d of %d ", c.Preferred.First, c.Preferred.First+c.Preferred.Second)
	}
	if !strings.Contains(text, want) {
		t.Errorf("no %q in %q", want, text)
	}
	if told := f.Choice.Told; told != nil {
		checkTold(t, text, f, told.Tellers.CI.Hi)
	}
}

var (
	mightTell = regexp.MustCompile(`up to (\d+) of ten people may truly tell`)
	ifGuessed = regexp.MustCompile(`about (\d+) would be if everybody guessed`)
)

// checkTold: how many would be right by guessing, and how many may tell, for all that the
// interval says.
func checkTold(t *rapid.T, text string, f analysis.Finding, most float64) {
	m := ifGuessed.FindStringSubmatch(text)
	if m == nil || m[1] != fmt.Sprint(math.Round(f.Choice.Chance*float64(f.N))) {
		t.Errorf("%d answers at a chance of %g: %q", f.N, f.Choice.Chance, text)
	}
	if m := mightTell.FindStringSubmatch(text); m != nil {
		n, _ := strconv.ParseFloat(m[1], 64)
		if f.Verdict.Different() || n/10 < most-1e-9 || (n-1)/10 > most {
			t.Errorf("%s where the interval reaches to %g: %q", m[0], most, text)
		}
	}
}
