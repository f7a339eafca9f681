package report_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// guessedAs is the example with a last question, asked in one way, with guesses of so many.
func guessedAs(t *testing.T, ask study.LastQuestion, design study.Design, guesses []study.Guess) (*study.Study,
	*analysis.Result) {
	t.Helper()
	src, err := os.ReadFile("../../studies/smooth-by-starch.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse("s.yaml", src)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	s.Panel.LastQuestion, s.Serving.Design = ask, design
	if design == study.One {
		s.Plan.Test = study.WelchT
	}
	var ratings []analysis.Rating
	var said []analysis.Guessed
	for i := range 2 * len(guesses) {
		who, sample := strconv.Itoa(i/2+1), s.Samples[i%2].ID
		if design == study.One && i%2 != i/2%2 {
			continue
		}
		ratings = append(ratings, analysis.Rating{Assessor: who, Turn: i%2 + 1, Position: i%2 + 1, Sample: sample,
			Attribute: "smoothness", Value: float64(30 + 7*i%40 + 5*(i%2))})
	}
	for i, g := range guesses {
		said = append(said, analysis.Guessed{Assessor: strconv.Itoa(i + 1), Guess: g, Thought: i%3 == 0})
	}
	r, err := analysis.Analyse(s, ratings, analysis.Options{Guessed: said})
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

// What is said of guesses is what was counted, however they fall; the counts add up to those
// who answered; and what is written fits its schema.
func TestBlindingIsWhatWasGuessed(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 77))
		ask := []study.LastQuestion{study.AskSame, study.AskWhich, study.AskWhich, study.AskCompared}[seed%4]
		design := []study.Design{study.All, study.One}[seed/4%2]
		if ask == study.AskSame {
			design = study.All
		}
		of := map[study.LastQuestion][]study.Guess{study.AskCompared: {""},
			study.AskSame:  {study.GuessSame, study.GuessDifferent, study.GuessUnknown},
			study.AskWhich: {"A", "B", study.GuessUnknown}}[ask]
		of = of[:1+r.IntN(len(of))] // everybody alike, too
		guesses := make([]study.Guess, 8+r.IntN(50))
		right, wrong := 0, 0
		for i := range guesses {
			guesses[i] = of[r.IntN(len(of))]
			truth := map[study.LastQuestion]study.Guess{study.AskSame: study.GuessDifferent, study.AskWhich: "A"}[ask]
			if design == study.One {
				truth = []study.Guess{"A", "B"}[i%2]
			}
			switch {
			case ask == study.AskCompared || guesses[i] == study.GuessUnknown:
			case guesses[i] == truth:
				right++
			default:
				wrong++
			}
		}
		s, found := guessedAs(t, ask, design, guesses)
		b := found.Blinding
		if b.N != len(guesses) || b.Right != right || b.Wrong != wrong ||
			ask != study.AskCompared && b.Right+b.Wrong+b.Unknown != b.N {
			t.Fatalf("seed %d, %s: %+v of %v", seed, ask, b, guesses)
		}
		fitsSchema(t, s, found)
		page := report.Build(s, found, report.Options{})
		at := slices.IndexFunc(page.Tables, func(x report.NumberTable) bool { return x.Title == "Did the blind hold?" })
		if at < 0 {
			t.Fatalf("seed %d: no table in %+v", seed, page.Tables)
		}
		said := strings.Join(append(slices.Clone(page.Tables[at].Said), page.Tables[at].Below...), " ")
		if strings.Contains(said, "NaN") || strings.Contains(said, "Inf") || strings.Contains(said, "%!") {
			t.Errorf("seed %d: %s", seed, said)
		}
		knew := b.Knew(s.Plan.Alpha)
		if knew != strings.Contains(said, "some could tell") && knew != strings.Contains(said, "some knew") ||
			knew != strings.Contains(said, "no proof") {
			t.Errorf("seed %d: known %v, and said: %s", seed, knew, said)
		}
		for _, row := range page.Tables[at].Rows {
			if len(row) != len(page.Tables[at].Headings) {
				t.Errorf("seed %d: row %q under %q", seed, row, page.Tables[at].Headings)
			}
		}
		var out bytes.Buffer
		err := report.WriteText(&out, s, found)
		if err != nil || !strings.Contains(out.String(), "Did the blind hold?") {
			t.Errorf("seed %d: as text: %v", seed, err)
		}
	}
}
