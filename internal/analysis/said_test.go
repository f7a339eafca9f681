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
	"cloche/internal/study"
)

// said answers a study's own plan: yes says of a turn, numbered from 0, what is said.
func said(t testing.TB, s *study.Study, yes func(n int, turn []analysis.Rating) bool) (all []analysis.Rating) {
	t.Helper()
	for n, rows := range turnsOf(t, s) {
		if yes(n, rows) {
			for i := range rows {
				rows[i].Value = 1
			}
		}
		all = append(all, rows...)
	}
	return all
}

func TestSaidReference(t *testing.T) {
	s := exampleStudy(t, "our-custard-or-not")
	count := map[study.SampleID]int{}
	rows := said(t, s, func(_ int, turn []analysis.Rating) bool {
		k := turn[0].Sample
		count[k]++
		return k == "A" && count[k]%4 != 0 || k == "B" && count[k]%3 == 0
	})
	r, err := analysis.Analyse(s, rows, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := r.Findings[0]
	c := f.Choice.Said.TwoCounts
	if c.N1 != 36 || c.N2 != 36 || c.X1 != 27 || c.X2 != 12 {
		t.Fatalf("counted %+v", c)
	}
	// R: qnorm(27/36) - qnorm(12/36)
	if want := 1.105217049492; math.Abs(f.Value-want) > 1e-9 {
		t.Errorf("d′ %.10f, want %.10f", f.Value, want)
	}
	if f.Verdict.Code != analysis.DifferentSizeOpen || !hasWarning(f.Warnings, analysis.WarnPooledSaid) {
		t.Errorf("verdict %+v, warnings %v", f.Verdict, f.Warnings)
	}
	// The exact test within assessors against R.
	type cell struct{ x1, n1, x2, n2 int }
	cells := map[string]*cell{}
	for _, x := range rows {
		k := cells[x.Assessor]
		if k == nil {
			k = &cell{}
			cells[x.Assessor] = k
		}
		if x.Sample == "A" {
			k.n1, k.x1 = k.n1+1, k.x1+int(x.Value)
		} else {
			k.n2, k.x2 = k.n2+1, k.x2+int(x.Value)
		}
	}
	table := "x1,x2,m1,m2\n"
	for _, k := range cells {
		table += fmt.Sprintf("%d,%d,%d,%d\n", k.x1, k.x2, k.n1-k.x1, k.n2-k.x2)
	}
	got := inR(t, `a <- array(t(as.matrix(d)), c(2, 2, nrow(d))); `+
		`say(mantelhaen.test(a, exact = TRUE, alternative = "greater")$p.value)`, table)
	agree(t, "exact test within assessors", []float64{f.Test.P}, got)
}

// What is said comes back from a file as it went, and whoever says the same of
// everything shows nothing.
func TestSaidFromAFile(t *testing.T) {
	for _, name := range []string{"our-custard-or-not", "same-or-different"} {
		s := exampleStudy(t, name)
		rapid.Check(t, func(rt *rapid.T) {
			yes := rapid.SliceOfN(rapid.Bool(), 100, 100).Draw(rt, "said")
			rows := said(t, s, func(n int, _ []analysis.Rating) bool { return yes[n%100] })
			var file bytes.Buffer
			if err := analysistest.WriteCSV(&file, s, rows); err != nil {
				rt.Fatal(err)
			}
			back, problems := analysis.ReadCSV("r.csv", strings.NewReader(file.String()), s, nil)
			if len(problems) > 0 {
				rt.Fatal(problems[0])
			}
			a, b := foundAlone(t, s, rows), foundAlone(t, s, back)
			if math.Abs(a.Test.P-b.Test.P) > 1e-12 || *a.Choice.Said != *b.Choice.Said || a.N != b.N {
				rt.Errorf("%+v, from the file %+v", a.Choice.Said, b.Choice.Said)
			}
			if p := a.Test.P; !(p > 0 && p <= 1) {
				rt.Errorf("p %g", p)
			}
		})
		for _, always := range []bool{false, true} {
			rows := said(t, s, func(int, []analysis.Rating) bool { return always })
			r, err := analysis.Analyse(s, rows, analysis.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if f := r.Findings[0]; f.Test.P != 1 || f.Verdict.Different() {
				t.Errorf("%s: p %g, %+v", name, f.Test.P, f.Verdict)
			}
		}
	}
}

func TestTwoThingsSaidOfATurn(t *testing.T) {
	s := exampleStudy(t, "same-or-different")
	for file, want := range map[string]string{
		"1,1,1,,a,,said,1\n1,1,2,,b,,said,0\n": "two things are said in turn 1",
		"1,1,1,,a,,said,1\n":                   "1 of the 2 servings stand in turn 1",
		"1,1,1,,a,,said,2\n1,1,2,,b,,said,2\n": "2 is neither of the two answers",
	} {
		file = "assessor,turn,position,code,dish,name,attribute,value\n" + file
		_, problems := analysis.ReadCSV("r.csv", strings.NewReader(file), s, nil)
		if len(problems) == 0 || !strings.Contains(problems[0].Error(), want) {
			t.Errorf("%q: %v, want %q", file, problems, want)
		}
	}
}
