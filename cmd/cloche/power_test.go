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

func runPowerArgs(args ...string) (code int, stdout, stderr string) {
	var out, remarks bytes.Buffer
	code = run(context.Background(), append([]string{"power"}, args...), strings.NewReader(""), &out, &remarks)
	return code, out.String(), remarks.String()
}

// powerOut is what a script reads of the JSON.
type powerOut struct {
	Test                      string
	Scale_length              float64
	Spread                    struct{ SD float64 }
	Needed, Earliest, Planned *struct {
		Assessors, Comparisons int
		Power, Detects         float64
		Cost                   struct {
			Portions, Sittings int
			Minutes_each       int
		}
	}
	Even  int
	Curve []struct {
		Assessors int
		Power     float64
		Detects   *float64
	}
	Warnings []struct{ Code, Text string }
}

func powerAsJSON(t *testing.T, args ...string) powerOut {
	t.Helper()
	code, out, remarks := runPowerArgs(append(args, "--format", "json")...)
	if code != exitDone || remarks != "" {
		t.Fatalf("%v: exit %d, stderr %q", args, code, remarks)
	}
	var got powerOut
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatalf("%v: %v", args, err)
	}
	return got
}

type powerRow struct {
	D, Alpha, Power, Power_at_n float64
	N                           int
	Alternative                 string
}

// referenceRows returns the grid of a method in testdata/reference, with the
// sources there.
func referenceRows(t *testing.T, method string) []powerRow {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/reference/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Entries []struct {
			Method   string
			Expected json.RawMessage
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	for _, e := range file.Entries {
		if e.Method != method {
			continue
		}
		var x struct{ Grid []powerRow }
		if err := json.Unmarshal(e.Expected, &x); err != nil {
			t.Fatal(err)
		}
		return x.Grid
	}
	t.Fatalf("no reference of %s", method)
	return nil
}

func number(v float64) string { return fmt.Sprintf("%.17g", v) }

// The reference values of power.t.test in testdata/reference: power to 1e-8
// relative, numbers of assessors exactly.
func TestPowerEqualsTheReference(t *testing.T) {
	sides := map[string]string{"two.sided": "two", "greater": "greater"}
	for _, tc := range []struct {
		method, test string
		groups       int
	}{{"t_paired", "paired-t", 1}, {"t_two_sample", "welch-t", 2}} {
		t.Run(tc.test, func(t *testing.T) {
			t.Parallel()
			for _, r := range referenceRows(t, "power_"+tc.method) {
				got := powerAsJSON(t, "--test", tc.test, "--sides", sides[r.Alternative], "--alpha", number(r.Alpha),
					"--difference", number(r.D), "--spread", "1", "--assessors", fmt.Sprint(tc.groups*r.N))
				if math.Abs(got.Planned.Power-r.Power) > 1e-8*r.Power || got.Planned.Comparisons != r.N {
					t.Errorf("%+v: got %+v", r, got.Planned)
				}
			}
			for _, r := range referenceRows(t, "sample_size_"+tc.method) {
				got := powerAsJSON(t, "--test", tc.test, "--sides", sides[r.Alternative], "--alpha", number(r.Alpha),
					"--power", number(r.Power),
					"--difference", number(20*r.D), "--spread", "20")
				if got.Needed.Comparisons != r.N || got.Needed.Assessors != tc.groups*r.N ||
					math.Abs(got.Needed.Power-r.Power_at_n) > 1e-8*r.Power_at_n {
					t.Errorf("%+v: got %+v", r, got.Needed)
				}
			}
		})
	}
}

func TestPowerOfDifferenceTests(t *testing.T) {
	got := powerAsJSON(t, "--test", "triangle", "--sides", "greater", "--share", "0.3", "--power", "0.95")
	if got.Earliest.Assessors != 66 || got.Needed.Assessors != 73 || got.Even != 78 {
		t.Errorf("triangle: got %+v, %+v and %d, want 66 (ISO 4120 table A.3, from memory), 73 (exact binomial, "+
			"every larger panel too) and 78, whole blocks of six orders",
			got.Earliest, got.Needed, got.Even)
	}
}

func TestPowerOfAStudy(t *testing.T) {
	got := powerAsJSON(t, custardStudy, "--spread", "10")
	// d = 0.5, two-sided, 80 %: 34 pairs (testdata/reference, sample_size_t_paired).
	if got.Test != "paired-t" || got.Needed.Assessors != 34 || got.Even != 34 || got.Planned.Assessors != 40 ||
		got.Planned.Cost.Portions != 80 || len(got.Curve) < 8 || len(got.Warnings) != 0 {
		t.Errorf("got %+v, planned %+v", got, got.Planned)
	}
	rule := powerAsJSON(t, custardStudy)
	if math.Abs(rule.Spread.SD-23*math.Sqrt2) > 1e-9 || rule.Warnings[len(rule.Warnings)-1].Code != "spread-guessed" {
		t.Errorf("without a spread: %+v", rule)
	}
	if per := powerAsJSON(t, custardStudy, "--rating-spread", "10", "--correlation",
		"0.5"); per.Needed.Assessors != 34 {
		t.Errorf("10 a rating with correlation 0.5: %+v", per.Needed)
	}
	code, out, _ := runPowerArgs(custardStudy, "--spread", "10")
	for _, want := range []string{"Assessors needed for 80 % power: 34\n", "portions of custard",
		"The panel planned, 40: power 87 %"} {
		if code != exitDone || !strings.Contains(out, want) {
			t.Errorf("exit %d, no %q in:\n%s", code, want, out)
		}
	}
}

func TestPowerSaysWhatIsWrong(t *testing.T) {
	broken := filepath.Join(t.TempDir(), "broken.yaml")
	if err := os.WriteFile(broken, []byte("cloche: 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		args string
		code int
		want string
	}{
		{"", exitUsage, "write a STUDY.yaml"},
		{"--difference 5", exitUsage, "--scale-length"},
		{"--difference -5 --spread 1", exitUsage, "scale points above 0"},
		{"--difference NaN --spread 1", exitUsage, "scale points above 0"},
		{"--difference 5 --spread 1 --rating-spread 2", exitUsage, "write one of them"},
		{"--difference 5 --spread 1 --correlation 0.5", exitUsage, "--rating-spread"},
		{"--difference 5 --spread 1 --sides left", exitUsage, "two, greater or less"},
		{"--difference 5 --spread 1 --alpha 0.9", exitUsage, "at most 0.5"},
		{"--difference 5 --spread 1 --test guess", exitUsage, "write one of [paired-t"},
		{"--difference 5 --spread 1 --format csv", exitUsage, "text json"},
		{"--share 0.3", exitUsage, "for difference tests"},
		{"--test triangle --difference 5", exitUsage, "--share or --distance"},
		{"--difference 5 --spread 1 --power 0.01", exitInput, "above alpha"},
		{"a.yaml b.yaml", exitUsage, "at most 1 arg"},
		{"none.yaml", exitInput, "no such file"},
		{broken, exitInput, "title"},
		{custardStudy + " --test triangle", exitInput, "choose a test of ratings"},
		{custardStudy + " --test welch-t", exitInput, "choose paired-t"},
		{custardStudy + " --share 0.3", exitInput, "write a difference in scale points"},
		{"../../studies/same-or-different.yaml --share 0.3", exitInput, "write a distance"},
		{"--test triangle --share 0.3 --beta 0.1", exitUsage, "write --alike"},
		{"--test a-not-a --distance 1 --alike", exitInput, "choose triangle"},
	} {
		code, out, remarks := runPowerArgs(strings.Fields(tc.args)...)
		if code != tc.code || out != "" || !strings.Contains(remarks, tc.want) {
			t.Errorf("cloche power %s: exit %d, stdout %q, stderr %q; want %d and %q", tc.args, code, out, remarks,
				tc.code, tc.want)
		}
	}
}

func TestPowerOfEveryExample(t *testing.T) {
	files, err := filepath.Glob("../../studies/*.yaml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%v, %v", files, err)
	}
	refused := 0
	for _, file := range files {
		code, out, remarks := runPowerArgs(file)
		if code == exitInput && strings.Contains(remarks, "there is no way yet to size the panel of the question") {
			refused++
			continue
		}
		if code != exitDone || strings.Contains(out, "NaN") || strings.Contains(out, "%!") ||
			!strings.Contains(out, "It rests on:") {
			t.Errorf("%s: exit %d, %s\n%s", file, code, remarks, out)
		}
	}
	if refused > 2 {
		t.Errorf("%d examples have no size", refused)
	}
}
