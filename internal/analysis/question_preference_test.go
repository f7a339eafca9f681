package analysis_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

func preferenceStudy(t testing.TB, edit ...func(*study.Study)) *study.Study {
	t.Helper()
	src, err := os.ReadFile("../../studies/browned-butter.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse("browned-butter.yaml", src)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, e := range edit {
		e(s)
	}
	return s
}

// choices are the rows of one turn each: so many for A, for B and for none.
func choices(first, second, none int) []analysis.Rating {
	var rows []analysis.Rating
	for i := range first + second + none {
		a, b := 0., 0.
		switch {
		case i < first:
			a = 1
		case i < first+second:
			b = 1
		}
		who := fmt.Sprint(i + 1)
		rows = append(rows, analysis.Rating{Assessor: who, Turn: 1, Position: 1 + i%2, Sample: "A",
			Attribute: study.ChoiceAnswer, Value: a},
			analysis.Rating{Assessor: who, Turn: 1, Position: 2 - i%2, Sample: "B", Attribute: study.ChoiceAnswer,
				Value: b})
	}
	return rows
}

func preferred(t testing.TB, s *study.Study, rows []analysis.Rating) analysis.Finding {
	t.Helper()
	r, err := analysis.Analyse(s, rows, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Findings) != 1 || r.Findings[0].Kind != analysis.KindChoice {
		t.Fatalf("findings %+v", r.Findings)
	}
	return r.Findings[0]
}

func TestPreferenceReference(t *testing.T) {
	for _, tc := range []struct {
		name                string
		first, second, none int
		sides               study.Sides
		p, lo, hi           float64
		source              string
	}{
		{"the example", 30, 12, 6, study.TwoSided, 0.007915897, 0.5643279, 0.8283298,
			"R 4.2.2: binom.test(30, 42)$p.value; prop.test(30, 42, correct = FALSE)$conf.int"},
		{"two-sided", 32, 12, 0, study.TwoSided, 0.00365776683, 0.581511269, 0.836536184,
			"ISO 5495 Amd 1 example 3, 32 of 44: R binom.test, prop.test(32, 44, correct = FALSE)"},
		{"one-sided", 21, 9, 0, study.Greater, 0.0213869726, 0.521242125, 0.833352517,
			"ISO 5495 Amd 1 B.5.2, 21 of 30: R binom.test(21, 30, alternative = \"greater\"), prop.test(21, 30, " +
				"correct = FALSE)"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := preferred(t, preferenceStudy(t, func(s *study.Study) { s.Plan.Sides = tc.sides }),
				choices(tc.first, tc.second, tc.none))
			if math.Abs(f.Test.P-tc.p) > 5e-8 || math.Abs(f.CI.Lo-tc.lo) > 5e-7 || math.Abs(f.CI.Hi-tc.hi) > 5e-7 {
				t.Errorf("p %.9f, %.7f to %.7f; want %.9f, %.7f to %.7f (%s)", f.Test.P, f.CI.Lo, f.CI.Hi, tc.p, tc.lo,
					tc.hi, tc.source)
			}
			if p := f.Choice.Preferred; p.First != tc.first || p.Second != tc.second || p.None != tc.none ||
				f.N != tc.first+tc.second+tc.none {
				t.Errorf("counted %+v of %d", *p, f.N)
			}
		})
	}
}

// The undecided are left out or split; an odd one counts for neither.
func TestUndecidedPreferences(t *testing.T) {
	split := preferred(t, preferenceStudy(t, func(s *study.Study) { s.Plan.Undecided = study.SplitUndecided }),
		choices(30, 10, 15))
	same := preferred(t, preferenceStudy(t), choices(37, 17, 1))
	if split.Test.P != same.Test.P || split.Value != same.Value || split.Choice.Preferred.Split != 14 ||
		!hasWarning(split.Warnings, analysis.WarnUndecidedSplit) {
		t.Errorf("split: %+v %+v", split.Test, *split.Choice.Preferred)
	}
	dropped := preferred(t, preferenceStudy(t), choices(30, 10, 15))
	if want := preferred(t, preferenceStudy(t), choices(30, 10, 0)); dropped.Test.P != want.Test.P || dropped.N != 55 {
		t.Errorf("dropped: p %g, want %g", dropped.Test.P, want.Test.P)
	}
	nobody := preferred(t, preferenceStudy(t), choices(0, 0, 9))
	if !math.IsNaN(nobody.Test.P) || nobody.Verdict.Code != analysis.TooFew || len(nobody.Warnings) == 0 {
		t.Errorf("nobody chose: %+v, %s, %v", nobody.Test, nobody.Verdict.Code, nobody.Warnings)
	}
}

// Answers of people who always choose the same tell as much as so many people would.
func TestReplicatedPreferences(t *testing.T) {
	replicated := func(same bool) []analysis.Rating {
		var rows []analysis.Rating
		for i := range 40 {
			for turn := 1; turn <= 4; turn++ {
				a := 0.
				if same && i < 26 || !same && turn <= 2+i%2 {
					a = 1
				}
				who := fmt.Sprint(i + 1)
				rows = append(rows, analysis.Rating{Assessor: who, Turn: turn, Sample: "A",
					Attribute: study.ChoiceAnswer, Value: a},
					analysis.Rating{Assessor: who, Turn: turn, Sample: "B", Attribute: study.ChoiceAnswer,
						Value: 1 - a})
			}
		}
		return rows
	}
	s := preferenceStudy(t, func(s *study.Study) { s.Serving.Replicates = 4 })
	f := preferred(t, s, replicated(true))
	once := preferred(t, preferenceStudy(t), choices(26, 14, 0))
	if f.Test.Method != "beta-binomial" || !hasWarning(f.Warnings, analysis.WarnAnswersTogether) || f.N != 160 ||
		f.Choice.People != 40 {
		t.Errorf("%s, %v", f.Test.Method, f.Warnings)
	}
	if f.Test.P < 0.01 || math.Abs(f.Value-once.Value) > 0.01 ||
		math.Abs(f.CI.Hi-f.CI.Lo-(once.CI.Hi-once.CI.Lo)) > 0.03 {
		t.Errorf("160 answers of 40 steady people: p %g, %g (%g to %g); 40 answers: p %g, %g to %g", f.Test.P, f.Value,
			f.CI.Lo, f.CI.Hi, once.Test.P, once.CI.Lo, once.CI.Hi)
	}
	one := replicated(true)[:8]
	if f := preferred(t, s, one); f.Test.P != 1 || f.Test.Method != "binomial" {
		t.Errorf("four answers of one: %+v", f.Test)
	}
	if f := preferred(t, s, replicated(false)); f.Test.Method != "binomial" ||
		hasWarning(f.Warnings, analysis.WarnAnswersTogether) {
		t.Errorf("people alike: %s, %v", f.Test.Method, f.Warnings)
	}
}

// Which sample is called the first changes the sign and nothing else.
func TestPreferenceIsSymmetric(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b, none := rapid.IntRange(0, 40).Draw(rt, "first"), rapid.IntRange(0, 40).Draw(rt,
			"second"), rapid.IntRange(0, 10).Draw(rt, "none")
		if a+b == 0 {
			return
		}
		undecided := rapid.SampledFrom([]study.UndecidedRule{study.DropUndecided, study.SplitUndecided}).Draw(rt,
			"rule")
		rule := func(s *study.Study) { s.Plan.Undecided = undecided }
		swap := func(s *study.Study) { s.Plan.Compare = [2]study.SampleID{"B", "A"} }
		rows := choices(a, b, none)
		x, y := preferred(t, preferenceStudy(t, rule), rows), preferred(t, preferenceStudy(t, rule, swap), rows)
		if math.Abs(x.Test.P-y.Test.P) > 1e-12 || math.Abs(x.Value+y.Value-1) > 1e-12 ||
			math.Abs(x.CI.Lo+y.CI.Hi-1) > 1e-12 ||
			x.Verdict.Direction != -y.Verdict.Direction || x.Verdict.Code != y.Verdict.Code {
			rt.Errorf("%+v\n%+v", x, y)
		}
	})
}

func TestReadChoices(t *testing.T) {
	const head = "assessor,turn,position,code,dish,name,attribute,value\n"
	s := preferenceStudy(t)
	must := preferenceStudy(t, func(s *study.Study) { s.Plan.Undecided = "" })
	for _, tc := range []struct {
		name, rows, want string
		s                *study.Study
	}{
		{"one of two", "1,1,1,367,browned,,choice,1\n1,1,2,546,plain,,choice,0\n", "", s},
		{"without turns and codes",
			"1,,1,,browned,,choice,1\n1,,2,,plain,,choice,0\n1,,3,,plain,,choice,0\n1,,4,,browned,,choice,1\n", "", s},
		{"no preference", "1,1,1,,browned,,choice,0\n1,1,2,,plain,,choice,0\n", "", s},
		{"two chosen", "1,1,1,,browned,,choice,1\n1,1,2,,plain,,choice,1\n",
			"f.csv:3:22: two servings are chosen in turn 1 of assessor 1; write 1 for the serving chosen and 0 for " +
				"the others of its turn", s},
		{"one missing", "1,1,1,,browned,,choice,1\n", "f.csv:2:24: 1 of the 2 servings stand in turn 1 of assessor " +
			"1; write a row for each", s},
		{"none where one has to", "1,1,1,,browned,,choice,0\n1,1,2,,plain,,choice,0\n",
			"f.csv:3:22: no serving is chosen in turn 1 of assessor 1; write 1", must},
		{"twice the same", "1,1,1,,browned,,choice,1\n1,1,2,,browned,,choice,0\n",
			"f.csv:3:24: sample A stands twice in turn 1 of assessor 1", s},
		{"half a choice", "1,1,1,,browned,,choice,0.5\n1,1,2,,plain,,choice,0.5\n",
			"f.csv:2:24: 0.5 is neither chosen nor not; write 1 for the serving", s},
		{"a rating", "1,1,1,,browned,,liking,7\n", `the study has no attribute "liking"; write one of choice`, s},
	} {
		t.Run(tc.name, func(t *testing.T) {
			rows, problems := analysis.ReadCSV("f.csv", strings.NewReader(head+tc.rows), tc.s, nil)
			got := ""
			if len(problems) > 0 {
				got = problems[0].Error()
			}
			if !strings.Contains(got, tc.want) || tc.want == "" && got != "" {
				t.Fatalf("got %q, want %q", got, tc.want)
			}
			if tc.want == "" {
				preferred(t, tc.s, rows)
			}
		})
	}
}

// TestPlateServedFirstIsChecked: who chose the plate that came first, of those who chose,
// by R 4.2: binom.test(15, 16)$p.value = 0.000518798828125, binom.test(8, 16) = 1.
func TestPlateServedFirstIsChecked(t *testing.T) {
	served := func(firstChosen func(i int) bool, position func(at int) int) (rows []analysis.Rating) {
		for i := range 18 {
			samples := [2]study.SampleID{"A", "B"}
			if i%2 == 1 {
				samples = [2]study.SampleID{"B", "A"}
			}
			for at, sample := range samples {
				value := 0.0
				if i < 16 && firstChosen(i) == (at == 0) { // the last two have no preference
					value = 1
				}
				rows = append(rows, analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: 1, Position: position(at),
					Sample:    sample,
					Attribute: study.ChoiceAnswer, Value: value})
			}
		}
		return rows
	}
	known := func(at int) int { return at + 1 }
	for _, tc := range []struct {
		name   string
		rows   []analysis.Rating
		count  float64 // below 0: not checked
		p      float64
		remark string
	}{
		{"the first plate draws", served(func(i int) bool { return i > 0 }, known), 15, 0.000518798828125,
			analysis.WarnServedFirst},
		{"nothing draws", served(func(i int) bool { return i < 8 }, known), 8, 1, ""},
		{"order not known", served(func(i int) bool { return i > 0 }, func(int) int { return 0 }), -1, 0,
			analysis.WarnOrderUnknown},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := preferred(t, preferenceStudy(t), tc.rows)
			if tc.count < 0 && len(f.Checks) != 0 || tc.count >= 0 &&
				(len(f.Checks) != 1 || f.Checks[0].Statistic != tc.count ||
					math.Abs(f.Checks[0].P-tc.p) > 1e-12) {
				t.Errorf("checks %+v, want %g with p %g", f.Checks, tc.count, tc.p)
			}
			for _, code := range []string{analysis.WarnServedFirst, analysis.WarnOrderUnknown} {
				if hasWarning(f.Warnings, code) != (code == tc.remark) {
					t.Errorf("warnings %v, want %q", f.Warnings, tc.remark)
				}
			}
		})
	}
}
