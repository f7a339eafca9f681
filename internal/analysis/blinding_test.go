package analysis_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// guessStudy asks which was which of two dishes under no name.
func guessStudy(t *testing.T, design study.Design, ask study.LastQuestion) *study.Study {
	t.Helper()
	file := `cloche: 1
title: Is the starch tasted?
question: samples
dishes:
  - {id: plain, title: custard, portion: 60 g, serve at: 55 °C, allergens: [milk]}
  - {id: starch, title: with starch, portion: 60 g, serve at: 55 °C, allergens: [milk]}
samples: [{id: A, dish: starch, blind: true}, {id: B, dish: plain, blind: true}]
attributes: [{id: smooth, ask: How smooth is it?, scale: {line: [grainy, smooth]}}]
panel: {assessors: 60, last question: ` + string(ask) + `}
serving: {design: ` + string(design) + `}
texts: {consent: I agree., instructions: Taste.}
analysis: {compare: [A, B], attribute: smooth}
`
	if ask == study.AskWhich {
		file = strings.Replace(file, "Taste.}", "Taste., first compared: with, second compared: without}", 1)
	}
	s, problems := study.Parse("s.yaml", []byte(file))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return s
}

// ratedBy are ratings of so many assessors: of both samples, or of A by the first half.
func ratedBy(s *study.Study, people int) (all []analysis.Rating) {
	for i := range people {
		samples := []study.SampleID{"A", "B"}
		if s.Serving.Design == study.One {
			samples = samples[2*i/people : 2*i/people+1]
		}
		for k, x := range samples {
			all = append(all, analysis.Rating{Assessor: strconv.Itoa(i + 1), Turn: k + 1, Position: k + 1, Sample: x,
				Attribute: "smooth", Value: float64(40 + 7*(i%5) + 3*k + i%3)})
		}
	}
	return all
}

func guessed(counts ...any) (all []analysis.Guessed) {
	for i := 0; i < len(counts); i += 2 {
		for range counts[i].(int) {
			all = append(all, analysis.Guessed{Assessor: strconv.Itoa(len(all) + 1), Guess: counts[i+1].(study.Guess)})
		}
	}
	return all
}

// The indices of each sample are those of the published table: 14 + 10 guests of
// reference-next, blinding.table_of_24.
func TestBlindingOfGroups(t *testing.T) {
	s := guessStudy(t, study.One, study.AskWhich)
	ratings := ratedBy(s, 28)
	ratings = slices.DeleteFunc(ratings, func(r analysis.Rating) bool {
		n, err := strconv.Atoi(r.Assessor)
		return err != nil || n > 24
	})
	const a, b, no = study.Guess("A"), study.Guess("B"), study.GuessUnknown
	r, err := analysis.Analyse(s, ratings, analysis.Options{Guessed: guessed(9, a, 2, b, 3, no, 3, a, 4, b, 3, no)})
	if err != nil {
		t.Fatal(err)
	}
	got := r.Blinding
	if got.Right != 13 || got.Wrong != 5 || got.Unknown != 6 || len(got.Arms) != 2 || !math.IsNaN(got.Test.P) {
		t.Fatalf("counted %+v", got)
	}
	for k, want := range []float64{0.5, 0.1} {
		if math.Abs(got.Arms[k].Bang.Estimate-want) > 1e-9 {
			t.Errorf("arm %d: %g, want %g", k, got.Arms[k].Bang.Estimate, want)
		}
	}
	if math.Abs(got.James.Estimate-0.475) > 1e-9 || got.Arms[0].Knew() != 1 || got.Arms[1].Knew() != 0 {
		t.Errorf("together %g; knew %d and %d", got.James.Estimate, got.Arms[0].Knew(), got.Arms[1].Knew())
	}
	if !hasWarning(r.Warnings, analysis.WarnFewGuesses) || !hasWarning(r.Warnings, analysis.WarnGuessFollowsTaste) {
		t.Errorf("warnings %v", r.Warnings)
	}
}

// Of two plates the guesses are a difference test, of those who guessed: 20 of 25 right has
// p = 0.00204 by the binomial distribution (R: pbinom(19, 25, 0.5, lower.tail = FALSE)).
func TestBlindingOfPairs(t *testing.T) {
	s := guessStudy(t, study.All, study.AskWhich)
	said := guessed(20, study.Guess("A"), 5, study.Guess("B"), 10, study.GuessUnknown)
	r, err := analysis.Analyse(s, ratedBy(s, 40), analysis.Options{Guessed: append(said,
		analysis.Guessed{Assessor: "who never rated", Guess: "A"})})
	if err != nil {
		t.Fatal(err)
	}
	b := r.Blinding
	if b.Right != 20 || b.Wrong != 5 || b.Unknown != 10 || b.Silent != 5 || math.Abs(b.Test.P-0.002038658) > 1e-8 {
		t.Errorf("%+v", b)
	}
	if !hasWarning(r.Warnings, analysis.WarnNotAllGuessed) || !b.Knew(0.05) {
		t.Errorf("warnings %v", r.Warnings)
	}
	row := slices.IndexFunc(r.Findings[0].Rechecks, func(x analysis.Recheck) bool {
		return x.What == "without those who guessed right after the last plate"
	})
	if row < 0 || r.Findings[0].Rechecks[row].N != 20 {
		t.Errorf("reckoned without them: %+v", r.Findings[0].Rechecks)
	}
}

// Nothing says how many say "same" who notice nothing: shares, and no test.
func TestBlindingOfOneDishOrTwo(t *testing.T) {
	s := guessStudy(t, study.All, study.AskSame)
	r, err := analysis.Analyse(s, ratedBy(s, 40), analysis.Options{Guessed: guessed(12, study.GuessDifferent, 20,
		study.GuessSame, 8, study.GuessUnknown)})
	if err != nil {
		t.Fatal(err)
	}
	if b := r.Blinding; b.Right != 12 || b.Wrong != 20 || !math.IsNaN(b.Test.P) || b.Knew(0.05) || b.Arms != nil {
		t.Errorf("%+v", b)
	}
	s.Panel.LastQuestion = ""
	if r, err = analysis.Analyse(s, ratedBy(s, 40), analysis.Options{}); err != nil || r.Blinding != nil {
		t.Errorf("asked nothing: %+v %v", r.Blinding, err)
	}
}

func TestReadGuesses(t *testing.T) {
	s := guessStudy(t, study.All, study.AskWhich)
	said, problems := analysis.ReadGuessesCSV("g.csv", strings.NewReader("assessor,guess,thought,after_close\n"+
		"1,A,the starch,false\n2,don't know,,false\n3,B,,true\n"), s)
	want := []analysis.Guessed{{Assessor: "1", Guess: "A", Thought: true}, {Assessor: "2", Guess: study.GuessUnknown}}
	if len(problems) > 0 || !slices.Equal(said, want) {
		t.Errorf("read %+v, %v", said, problems)
	}
	_, problems = analysis.ReadGuessesCSV("g.csv", strings.NewReader("assessor,guess\n1,same\n,A\n2,A\n2,B\n"), s)
	if len(problems) != 3 {
		t.Errorf("problems %v", problems)
	}
}
