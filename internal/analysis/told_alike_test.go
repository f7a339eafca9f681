package analysis_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/study"
)

// alikeStudy is an example with a plan that asks if so few tell that it passes unnoticed.
func alikeStudy(t testing.TB, name string, people int, share, beta float64) (*study.Study, *design.Plan) {
	t.Helper()
	s := *rankingStudy(t, name)
	s.Panel.Assessors, s.Panel.Sittings, s.Panel.Seats = people, 1, 0
	s.Plan.Test, s.Plan.SmallestEffect, s.Plan.Beta, s.Plan.StopEarly = study.Equivalence, share, beta, false
	plan, err := design.Draw(&s, design.Options{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	return &s, plan
}

// The most right answers that still show likeness: ISO 5495 table A.3 prints 69, 76, 83, 90
// for 132 answers at p₀ = 1/2 (GOST R 53161); those of the triangle are recomputed from the
// exact binomial apart from this program (trade facts 1.4), where an entry below n/3 shows
// nothing (GOST R 53159, 8.2).
func TestMostRightAnswersThatPassForTheSame(t *testing.T) {
	for _, tc := range []struct {
		study  string
		people int
		share  float64
		most   int
	}{
		{"less-salt", 132, 0.2, 69}, {"less-salt", 132, 0.3, 76}, {"less-salt", 132, 0.4, 83}, {"less-salt", 132, 0.5,
			90},
		{"made-yesterday", 30, 0.3, 11}, {"made-yesterday", 60, 0.2, 21}, {"made-yesterday", 60, 0.3, 25},
		{"made-yesterday", 66, 0.3, 28}, {"made-yesterday", 72, 0.4, 35}, {"made-yesterday", 96, 0.5, 55},
		{"made-yesterday", 30, 0.2, -1}, // 9, which guessing alone exceeds
	} {
		s, plan := alikeStudy(t, tc.study, tc.people, tc.share, 0.05)
		r, err := analysis.Analyse(s, analysis.SimulateTold(s, plan, 0, 1), analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Findings[0].Choice.Told.Alike.Most; got != tc.most {
			t.Errorf("%s of %d at %g: most %d, want %d", tc.study, tc.people, tc.share, got, tc.most)
		}
	}
}

// A difference that was not found never shows likeness; likeness holds just where the
// one-sided limit lies below the share, in whatever order answers stand.
func TestLikenessIsItsOwnQuestion(t *testing.T) {
	plans := map[string]*design.Plan{}
	rapid.Check(t, func(rt *rapid.T) {
		share := rapid.Float64Range(0.15, 0.6).Draw(rt, "share")
		tells, seed := rapid.Float64Range(0, 0.5).Draw(rt, "tells"), rapid.Uint64().Draw(rt, "seed")
		s, plan := alikeStudy(t, "made-yesterday", 60, share, 0.05)
		if plans[""] == nil {
			plans[""] = plan
		}
		answers := analysis.SimulateTold(s, plans[""], tells, seed)
		backwards := make([]analysis.Rating, 0, len(answers))
		for i := range answers {
			backwards = append(backwards, answers[len(answers)-1-i])
		}
		r, err := analysis.Analyse(s, answers, analysis.Options{})
		b, err2 := analysis.Analyse(s, backwards, analysis.Options{})
		if err != nil || err2 != nil {
			rt.Fatal(err, err2)
		}
		f, told := r.Findings[0], r.Findings[0].Choice.Told
		alike := f.Verdict.Code == analysis.Alike
		if alike != (told.Alike.Most >= 0 && told.Alike.Upper.Value < share+1e-12) {
			rt.Fatalf("alike %v with at most %g of %g telling: %+v", alike, told.Alike.Upper.Value, share, told.Alike)
		}
		if alike != (b.Findings[0].Verdict.Code == analysis.Alike) || *told.Alike != *b.Findings[0].Choice.Told.Alike {
			rt.Fatal("the order of the answers matters")
		}
		s.Plan.Test, s.Plan.Beta = "", 0
		if r, err = analysis.Analyse(s, answers, analysis.Options{}); err != nil {
			rt.Fatal(err)
		}
		if d := r.Findings[0].Verdict.Code; d == analysis.Alike || d == analysis.DifferentSmall {
			rt.Fatalf("a test of difference says %s", d)
		}
		if p := r.Findings[0].Test.P; f.Also[0].P != p {
			rt.Fatalf("the difference beside has p %g, by itself %g", f.Also[0].P, p)
		}
	})
}

// Answers of one person several times may show a difference, and never likeness (AS 2542.2.4, 6.2).
func TestSeveralAnswersOfAPersonShowNoLikeness(t *testing.T) {
	s, _ := alikeStudy(t, "made-yesterday", 24, 0.4, 0.05)
	s.Serving.Replicates = 3
	plan, err := design.Draw(s, design.Options{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	r, err := analysis.Analyse(s, analysis.SimulateTold(s, plan, 0, 5), analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := r.Findings[0]
	if f.N != 72 || f.Verdict.Code == analysis.Alike || !warnsOf(f, analysis.WarnReplicatesNoAlike) {
		t.Errorf("72 answers of 24 people: %s, %+v", f.Verdict.Code, f.Warnings)
	}
}

func warnsOf(f analysis.Finding, code string) bool {
	for _, w := range f.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// The sizes of likeness are those of the difference with both risks turned round: the first
// panels of ISO 4120 table A.3 at α and β 0.05, pd 30 %: 66, and 73 from which every larger
// one does (trade facts 7.7).
func TestSizeOfLikeness(t *testing.T) {
	z, err := analysis.FindSize(analysis.Sizing{Test: analysis.SizedTest(study.Triangle), Sides: study.Greater,
		Share: 0.3,
		Alike: true, Beta: 0.05, Power: 0.95})
	if err != nil || z.First.Assessors != 66 || z.Needed.Assessors != 73 {
		t.Errorf("first %+v, needed %+v, %v; want 66 and 73", z.First, z.Needed, err)
	}
}

// The risks of likeness and of both lines are kept when just the share tells, and when
// nobody does: within four standard errors of 600 studies each. ISO 16820 example B ran 30
// answers undecided.
func TestRisksOfLikenessAndOfEarlyStops(t *testing.T) {
	const studies = 600
	rate := func(s *study.Study, plan *design.Plan, share float64, code analysis.VerdictCode) float64 {
		n := 0
		for seed := range uint64(studies) {
			if foundAlone(t, s, analysis.SimulateTold(s, plan, share, seed)).Verdict.Code == code {
				n++
			}
		}
		return float64(n) / studies
	}
	within := func(what string, got, most float64) {
		if got > most+4*math.Sqrt(most*(1-most)/studies) {
			t.Errorf("%s: %.3f, at most %.3f", what, got, most)
		}
	}
	s, plan := alikeStudy(t, "made-yesterday", 60, 0.3, 0.05)
	within("called alike when 3 of ten tell", rate(s, plan, 0.3, analysis.Alike), 0.05)
	early := rankingStudy(t, "custard-with-starch")
	plan, err := design.Draw(early, design.Options{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	// The exact chances at 60 answers: 0.081 each (reference-next.json, sprt.paired_iso16820).
	within("called different when all guess", rate(early, plan, 0, analysis.DifferentSizeOpen), 0.0807)
	within("called alike when 4 of ten tell", rate(early, plan, 0.4, analysis.Alike), 0.0812)
}

// The three courses that ISO 16820 table A.1 prints, with the lines that their stops imply.
func TestCoursesOfISO16820(t *testing.T) {
	s := *rankingStudy(t, "custard-with-starch")
	plan, err := design.Draw(&s, design.Options{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		course string
		ends   int
		code   analysis.VerdictCode
		enough bool
	}{
		{"WWWCWCWCWCW", 11, analysis.Alike, true},
		{"CCCCWCCCWCCC", 12, analysis.DifferentSizeOpen, true},
		{"WCWCWCWCCCCWCCCCWWCCWWWCWCCCCC", 30, analysis.Open, false},
	} {
		all, wrong := analysis.SimulateTold(&s, plan, 1, 1), analysis.SimulateTold(&s, plan, 1, 1)
		for i := range wrong {
			wrong[i].Value = 1 - wrong[i].Value
		}
		var answers []analysis.Rating
		for i, c := range tc.course {
			from := all
			if c == 'W' {
				from = wrong
			}
			for _, r := range from[2*i : 2*i+2] {
				r.Arrived = i + 1
				answers = append(answers, r)
			}
		}
		enough, err := analysis.Enough(&s, answers, nil)
		if err != nil || enough != tc.enough {
			t.Errorf("%s: enough %v, %v", tc.course, enough, err)
		}
		r, err := analysis.Analyse(&s, answers, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		f := r.Findings[0]
		if f.N != tc.ends || f.Verdict.Code != tc.code || f.Test.Method != method.Sequential {
			t.Errorf("%s: %s after %d, want %s after %d", tc.course, f.Verdict.Code, f.N, tc.code, tc.ends)
		}
	}
}

// An end that only one answer can have been reached by would tell it: none is told before
// both could.
func TestAnEarlyEndDoesNotTellWhichAnswer(t *testing.T) {
	s := rankingStudy(t, "custard-with-starch")
	plan, err := design.Draw(s, design.Options{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	wrong := analysis.SimulateTold(s, plan, 1, 1)
	for i := range wrong {
		wrong[i].Value = 1 - wrong[i].Value
	}
	for n := 1; n <= 8; n++ { // five wrong answers decide, and no fewer than seven right ones
		enough, err := analysis.Enough(s, wrong[:2*n], nil)
		if err != nil || enough != (n >= 7) {
			t.Errorf("after %d wrong answers: enough %v, %v", n, enough, err)
		}
	}
}

func BenchmarkToldAnswers(b *testing.B) {
	s, plan := alikeStudy(b, "made-yesterday", 1000, 0.3, 0.05)
	answers := analysis.SimulateTold(s, plan, 0.2, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := analysis.Analyse(s, answers, analysis.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
