package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const (
	sleepStudy     = "../../testdata/study/sleep.yaml"
	sleepCSV       = "../../testdata/study/sleep.csv"
	custardStudy   = "../../studies/celeriac-custard.yaml"
	custardRatings = "../../studies/celeriac-custard-ratings.csv"
)

func runAnalyseArgs(args ...string) (code int, stdout, stderr string) {
	var out, remarks bytes.Buffer
	code = run(context.Background(), append([]string{"analyse"}, args...), strings.NewReader(""), &out, &remarks)
	return code, out.String(), remarks.String()
}

// Student (1908); printed by R for datasets::sleep with t.test(paired = TRUE).
func TestAnalyseSleepData(t *testing.T) {
	code, out, remarks := runAnalyseArgs(sleepStudy, sleepCSV, "--format", "json")
	if code != exitDone || remarks != "" {
		t.Fatalf("exit %d, stderr %q", code, remarks)
	}
	var got struct {
		Assessors int `json:"n_assessors"`
		Findings  []struct {
			Difference, Level float64
			CI                [2]float64
			Test              struct {
				Method           string
				Statistic, DF, P float64
			}
		}
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	if got.Assessors != 10 || len(got.Findings) != 1 {
		t.Fatalf("%d assessors, %d findings", got.Assessors, len(got.Findings))
	}
	f := got.Findings[0]
	for _, v := range []struct {
		name           string
		got, want, abs float64
	}{
		{"t", f.Test.Statistic, -4.0621, 5e-5}, {"df", f.Test.DF, 9, 0}, {"p", f.Test.P, 0.002833, 5e-7},
		{"difference", f.Difference, -1.58, 1e-12}, {"lower end", f.CI[0], -2.4599, 5e-5},
		{"upper end", f.CI[1], -0.7001, 5e-5},
		{"level", f.Level, 0.95, 1e-12},
	} {
		if math.Abs(v.got-v.want) > v.abs {
			t.Errorf("%s: got %g, want %g", v.name, v.got, v.want)
		}
	}
	if f.Test.Method != "paired-t" {
		t.Errorf("method %q", f.Test.Method)
	}
}

func TestAnalyseFormats(t *testing.T) {
	for _, tc := range []struct{ format, want string }{
		{"text", "Called celeriac crème brûlée, the same dish was rated saltier: +5.7 points of 100."},
		{"json", `"attribute": "saltiness"`},
		{"html", "<!doctype html>"},
	} {
		t.Run(tc.format, func(t *testing.T) {
			code, out, _ := runAnalyseArgs(custardStudy, custardRatings, "--format", tc.format)
			if code != exitDone {
				t.Errorf("exit %d", code)
			}
			if !strings.Contains(out, tc.want) {
				t.Errorf("no %q in the output", tc.want)
			}
		})
	}
}

func TestAnalyseReportsEveryMistake(t *testing.T) {
	ratings := filepath.Join(t.TempDir(), "ratings.csv")
	text := "assessor,position,code,dish,name,attribute,value\n" +
		"1,1,553,custard,brulee,saltiness,53\n" +
		"1,1,553,custard,brulee,saltines,66\n" +
		"1,2,337,custard,royale,saltiness,146\n"
	if err := os.WriteFile(ratings, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, remarks := runAnalyseArgs(custardStudy, ratings)
	if code != exitInput || out != "" {
		t.Errorf("exit %d, stdout %q; want 1 and nothing", code, out)
	}
	for _, want := range []string{ratings + `:3:24: the study has no attribute "saltines"`,
		ratings + `:4:34: 146 is off the scale`} {
		if !strings.Contains(remarks, want) {
			t.Errorf("no %q in:\n%s", want, remarks)
		}
	}
}

func TestAnalyseKey(t *testing.T) {
	key := filepath.Join(t.TempDir(), "key.csv")
	text := "assessor,position,code,dish,name\n1,1,553,custard,royale\n1,2,337,custard,brulee\n"
	if err := os.WriteFile(key, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	code, _, remarks := runAnalyseArgs(custardStudy, custardRatings, "--key", key)
	if code != exitInput || !strings.Contains(remarks, "this serving was sample B, not A") {
		t.Errorf("exit %d, stderr:\n%s", code, remarks)
	}
}

func TestAnalyseExitCodes(t *testing.T) {
	for _, tc := range []struct {
		name string
		args []string
		want int
	}{
		{"no ratings named", []string{custardStudy}, exitUsage},
		{"no such format", []string{custardStudy, custardRatings, "--format", "pdf"}, exitUsage},
		{"no such flag", []string{custardStudy, custardRatings, "--colour"}, exitUsage},
		{"no such file", []string{custardStudy, "absent.csv"}, exitInput},
		{"study instead of ratings", []string{custardStudy, custardStudy}, exitInput},
	} {
		t.Run(tc.name, func(t *testing.T) {
			code, out, remarks := runAnalyseArgs(tc.args...)
			if code != tc.want || out != "" || remarks == "" {
				t.Errorf("exit %d, stdout %q, stderr %q; want exit %d", code, out, remarks, tc.want)
			}
		})
	}
}

// TestAnalyseExpected reads what was expected of names from a file of its own. The
// answers are invented; both means are worked out by hand.
func TestAnalyseExpected(t *testing.T) {
	file := filepath.Join(t.TempDir(), "expected.csv")
	text := "assessor,name,attribute,value\n"
	for i, v := range []string{"60", "70", "80"} {
		text += fmt.Sprintf("%d,brulee,saltiness,%s\n%d,royale,saltiness,%d\n", i+1, v, i+1, 20+10*i)
	}
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, remarks := runAnalyseArgs(custardStudy, custardRatings, "--expected", file, "--format", "json")
	if code != exitDone || remarks != "" {
		t.Fatalf("exit %d, stderr %q", code, remarks)
	}
	var got struct {
		Expected []struct {
			Attribute, Kind string
			N               int
			Means           map[string]float64
		}
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	if f := got.Expected[0]; f.Kind != "expected" || f.Attribute != "saltiness" || f.N != 3 || f.Means["A"] != 70 ||
		f.Means["B"] != 30 {
		t.Errorf("found %+v", f)
	}
	if err := os.WriteFile(file, []byte(text+"1,brulee,saltiness,900\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, out, remarks := runAnalyseArgs(custardStudy, custardRatings, "--expected", file); code != exitInput ||
		out != "" || !strings.Contains(remarks, "expected.csv:8:20: 900 is off the scale") {
		t.Errorf("a mistake: exit %d, stderr %q", code, remarks)
	}
}
