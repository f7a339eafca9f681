package analysis_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/design"
	"cloche/internal/study"
)

// turnsOf are the turns of a study's own plan, each with a row for every serving among
// which one chooses or of which something is said.
func turnsOf(t testing.TB, s *study.Study) (turns [][]analysis.Rating) {
	t.Helper()
	plan, err := design.Draw(s, design.Options{Seed: 7})
	if err != nil {
		t.Fatal(err)
	}
	for a := range plan.Assessors {
		for x := range plan.Turns(a) {
			var rows []analysis.Rating
			reference := study.SampleID("")
			for _, v := range x.Servings {
				switch v.Role {
				case design.Reference:
					reference = plan.Samples[v.Sample]
				case design.Rated:
					rows = append(rows, analysis.Rating{Assessor: fmt.Sprint(a + 1), Turn: int(v.Turn),
						Position: int(v.Position), Sample: plan.Samples[v.Sample], Reference: reference,
						Attribute: s.Question.Response().Answer()})
				}
			}
			if len(rows) > 0 {
				turns = append(turns, rows)
			}
		}
	}
	return turns
}

// answered answers so many turns of a plan: right says which of them rightly, isRight
// whether a serving of a turn is the right one.
func answered(t testing.TB, s *study.Study, isRight func(turn []analysis.Rating, x analysis.Rating) bool,
	right func(n int) bool, turns int) (all []analysis.Rating) {
	t.Helper()
	plan := turnsOf(t, s)
	if len(plan) < turns {
		t.Fatalf("the plan has %d turns, want %d", len(plan), turns)
	}
	for n, rows := range plan[:turns] {
		for i, row := range rows {
			if isRight(rows, row) == right(n) {
				rows[i].Value = 1
				break
			}
		}
		all = append(all, rows...)
	}
	return all
}

func odd(turn []analysis.Rating, x analysis.Rating) bool {
	n := 0
	for _, y := range turn {
		if y.Sample == x.Sample {
			n++
		}
	}
	return n == 1
}

func like(_ []analysis.Rating, x analysis.Rating) bool { return x.Sample == x.Reference }

func first(_ []analysis.Rating, x analysis.Rating) bool { return x.Sample == "A" }

func firstN(k int) func(int) bool { return func(n int) bool { return n < k } }

func TestToldReference(t *testing.T) {
	for _, tc := range []struct {
		file             string
		isRight          func([]analysis.Rating, analysis.Rating) bool
		right, n         int
		p, chance, prime float64
		source           string
	}{
		{"made-yesterday", odd, 13, 24, 0.02844113, 1. / 3, 1.68070,
			"as ISO 4120 Table A.1; R: pbinom(12, 24, 1/3, FALSE); d′: inverse of the Thurstonian form"},
		{"smokiest-of-three", first, 13, 24, 0.02844113, 1. / 3, 0.692133, "the same, 3-AFC"},
		{"house-custard", like, 23, 36, 0.06624908, 0.5, 1.35450, "R: pbinom(22, 36, 1/2, FALSE); ISO 10399"},
		{"saltier-of-two", first, 21, 30, 0.04277395, 0.5, 0.741614,
			"ISO 5495 Amd 1 example 1: 21 of 30, two-sided here; R: binom.test(21, 30)"},
	} {
		t.Run(tc.file, func(t *testing.T) {
			s := exampleStudy(t, tc.file)
			s.Serving.Replicates, s.Panel.Assessors = 1, 36
			r, err := analysis.Analyse(s, answered(t, s, tc.isRight, firstN(tc.right), tc.n), analysis.Options{})
			if err != nil {
				t.Fatal(err)
			}
			f := r.Findings[0]
			if math.Abs(f.Test.P-tc.p) > 5e-9 || f.N != tc.n || f.Choice.Chance != tc.chance {
				t.Errorf("p %.9f of %d against %g, want %.9f of %d (%s)", f.Test.P, f.N, f.Choice.Chance, tc.p, tc.n,
					tc.source)
			}
			var d float64
			if f.Choice.Told != nil {
				d = f.Choice.Told.DPrime.Value
				if f.Choice.Told.Right != tc.right {
					t.Errorf("%d right, want %d", f.Choice.Told.Right, tc.right)
				}
			} else {
				d = f.Effects[len(f.Effects)-1].Value
			}
			if math.Abs(d-tc.prime) > 6e-6 {
				t.Errorf("d′ %.6f, want %.6f (%s)", d, tc.prime, tc.source)
			}
		})
	}
}

// Fewer right answers than guessing gives are no difference, and no finding against the plan.
func TestFewerRightThanGuessing(t *testing.T) {
	s := exampleStudy(t, "made-yesterday")
	r, err := analysis.Analyse(s, answered(t, s, odd, firstN(6), 60), analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := r.Findings[0]
	if f.CI.Hi >= 1./3 {
		t.Fatalf("the interval %v does not lie below guessing", f.CI)
	}
	if f.Verdict.Code != analysis.Open || f.Verdict.Against || f.Choice.Told.Tellers.Value != 0 {
		t.Errorf("verdict %+v, tellers %g", f.Verdict, f.Choice.Told.Tellers.Value)
	}
}

// Answers come back from a file as they went; order of rows and names of assessors are
// without effect.
func TestToldFromAFile(t *testing.T) {
	for _, tc := range []struct {
		file    string
		isRight func([]analysis.Rating, analysis.Rating) bool
	}{{"made-yesterday", odd}, {"smokiest-of-three", first}, {"house-custard", like},
		{"saltier-of-two", first}} {
		t.Run(tc.file, func(t *testing.T) {
			s := exampleStudy(t, tc.file)
			rapid.Check(t, func(rt *rapid.T) {
				n := rapid.IntRange(1, 30).Draw(rt, "turns")
				k := rapid.IntRange(0, n).Draw(rt, "right")
				rows := answered(t, s, tc.isRight, firstN(k), n)
				var file bytes.Buffer
				if err := analysistest.WriteCSV(&file, s, rapid.Permutation(rows).Draw(rt, "rows")); err != nil {
					rt.Fatal(err)
				}
				back, problems := analysis.ReadCSV("ratings.csv", strings.NewReader(file.String()), s, nil)
				if len(problems) > 0 {
					rt.Fatal(problems)
				}
				want, err := analysis.Analyse(s, rows, analysis.Options{})
				if err != nil {
					rt.Fatal(err)
				}
				got, err := analysis.Analyse(s, back, analysis.Options{})
				if err != nil {
					rt.Fatal(err)
				}
				a, b := want.Findings[0], got.Findings[0]
				same := func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }
				if !same(a.Test.P, b.Test.P) || !same(a.Value, b.Value) || a.N != b.N || a.Verdict != b.Verdict {
					rt.Errorf("%+v, from the file %+v", a.Test, b.Test)
				}
			})
		})
	}
}

// A reference that may be either sample has to be named.
func TestReferenceIsNamed(t *testing.T) {
	s := exampleStudy(t, "house-custard")
	s.Serving.Reference = study.BalancedReference
	file := "assessor,turn,position,code,dish,name,attribute,value\n1,1,1,,a,,choice,1\n1,1,2,,b,,choice,0\n"
	_, problems := analysis.ReadCSV("ratings.csv", strings.NewReader(file), s, nil)
	if len(problems) == 0 || !strings.Contains(problems[0].Error(), "reference") {
		t.Errorf("no word of the reference: %v", problems)
	}
	rows := answered(t, s, like, firstN(4), 8)
	rows[1].Reference = ""
	if _, err := analysis.Analyse(s, rows, analysis.Options{}); err == nil {
		t.Error("a turn of an unknown reference is analysed")
	}
}
