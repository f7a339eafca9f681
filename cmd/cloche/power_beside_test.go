package main

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"testing"

	"cloche/internal/analysis"
)

// What the study answers beside its primary test stands in the text, in the JSON and on
// the page of the size step with the same numbers.
func TestSizesBesideAreTheSameEverywhere(t *testing.T) {
	const file = "../../studies/seven-caramels.yaml"
	var out struct {
		Beside []struct {
			Code, What string
			Needed     *int
			Planned    *float64
		}
		Planned struct{ Assessors int }
	}
	code, text, remarks := runPowerArgs(file, "--difference", "1", "--format", "json")
	if err := json.Unmarshal([]byte(text), &out); err != nil || code != exitDone || len(out.Beside) != 3 {
		t.Fatalf("%d, %v, %s, %d beside", code, err, remarks, len(out.Beside))
	}
	_, text, _ = runPowerArgs(file, "--difference", "1")
	rows := newSizePages(t, file).step(url.Values{"analysis.smallest effect": {"1"}}).Find("table.also-found tbody tr")
	if rows.Length() != len(out.Beside) {
		t.Fatalf("%d rows on the page, %d by the command", rows.Length(), len(out.Beside))
	}
	for i, b := range out.Beside {
		line := fmt.Sprintf("%9d   %s (power of the %d planned: %s)", *b.Needed, b.What, out.Planned.Assessors,
			analysis.Percent(*b.Planned))
		if !strings.Contains(text, line) {
			t.Errorf("the text lacks %q", line)
		}
		cells := rows.Eq(i).Find("td")
		if got, want := cells.Eq(0).Text()+" "+cells.Eq(1).Text(),
			fmt.Sprintf("%d %s", *b.Needed, analysis.Percent(*b.Planned)); got != want {
			t.Errorf("%s: %s on the page, %s by the command", b.Code, got, want)
		}
	}
	if b := out.Beside[0]; b.Code != analysis.BesideModelPair || *b.Needed != 161 {
		t.Errorf("the pair by every rating: %+v, want 161", b)
	}
}

// Tests of all samples are sized with or without a study, and a study that compares all
// is sized by the test that it plans.
func TestPowerOfWholePanels(t *testing.T) {
	for _, tc := range []struct{ args, want string }{
		{"--test mixed-f --samples 4 --difference 5 --spread 11", "Assessors needed for 80 % power: 55"},
		{"--test friedman --samples 4 --difference 5 --spread 11", "note (simulated)"},
		{"../../studies/four-custards.yaml --test mixed-f", "every pair differs"},
	} {
		if code, out, remarks := runPowerArgs(strings.Fields(tc.args)...); code != exitDone ||
			!strings.Contains(out, tc.want) || strings.Contains(out, "NaN") {
			t.Errorf("%s: exit %d, %s\n%s", tc.args, code, remarks, out)
		}
	}
	for _, args := range []string{"--test mixed-f --samples 2 --difference 5 --spread 11",
		"../../studies/four-custards.yaml --samples 4"} {
		if code, _, _ := runPowerArgs(strings.Fields(args)...); code != exitUsage {
			t.Errorf("%s: exit %d, want %d", args, code, exitUsage)
		}
	}
}
