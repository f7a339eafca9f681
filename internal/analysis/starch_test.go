package analysis_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// starchTruth is what holds in the invented panel of studies/smooth-by-starch.yaml: the
// custard with starch (A) lies 7 above the one without.
var starchTruth = analysis.Truth{"smoothness": {Mean: 55, Effects: map[study.SampleID]float64{"A": 7, "B": 0},
	AssessorSD: 12, SampleSD: 6, RatingSD: 9}}

// shareWhoKnow is of that panel, which of their plates had the starch; of the others four in
// ten say that they do not know, and the rest guess.
const shareWhoKnow = 0.3

func starchGuesses(people int, seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, 20261213))
	out := bytes.NewBufferString("assessor,guess\n")
	for i := range people {
		guess := study.Guess("A")
		if r.Float64() >= shareWhoKnow {
			switch x := r.Float64(); {
			case x < 0.4:
				guess = study.GuessUnknown
			case x < 0.7:
				guess = "B"
			}
		}
		fmt.Fprintf(out, "%d,%s\n", i+1, guess)
	}
	return out.Bytes()
}

// The ratings and guesses of the example are those that its truth gives with the first seed;
// what is found holds the truth in its intervals.
func TestRatingsOfTheStudyWithALastQuestion(t *testing.T) {
	const file, csv = "../../studies/smooth-by-starch.yaml", "../../studies/smooth-by-starch-ratings.csv"
	const guesses = "../../studies/smooth-by-starch-guesses.csv"
	s := parseStudy(t, file)
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	keptAs(t, csv, s, analysis.Simulate(s, plan, starchTruth, 1))
	want := starchGuesses(s.Panel.Assessors, 1)
	if *makeRatings {
		if err := os.WriteFile(guesses, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(guesses)
	if err != nil || !bytes.Equal(kept, want) {
		t.Errorf("%s is not what its truth gives (%v)", guesses, err)
	}
	said, problems := analysis.ReadGuessesCSV(guesses, bytes.NewReader(kept), s)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	found, err := analysis.Analyse(s, readRatings(t, csv, s), analysis.Options{Guessed: said})
	if err != nil {
		t.Fatal(err)
	}
	f, b := found.Findings[0], found.Blinding
	if f.CI.Lo > 7 || f.CI.Hi < 7 || f.N != 48 {
		t.Errorf("the difference is %g, %g to %g, of %d people", f.Value, f.CI.Lo, f.CI.Hi, f.N)
	}
	right := (shareWhoKnow + (1-shareWhoKnow)*0.3) / (shareWhoKnow + (1-shareWhoKnow)*0.6)
	if b.CI.Lo > right || b.CI.Hi < right || b.N != 48 || !(b.Test.P < 0.05) {
		t.Errorf("guesses: %+v; of those who guess %g are right in truth", b, right)
	}
	again := 0
	for _, r := range f.Rechecks {
		if r.What == "without those who guessed right after the last plate" && r.N == 48-b.Right {
			again++
		}
	}
	if again != 1 {
		t.Errorf("reckoned %d times without those who guessed right: %+v", again, f.Rechecks)
	}
}
