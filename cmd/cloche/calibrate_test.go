package main

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
	"testing"
)

func runCalibrateArgs(args ...string) (code int, stdout, stderr string) {
	var out, remarks bytes.Buffer
	code = run(context.Background(), append([]string{"calibrate"}, args...), strings.NewReader(""), &out, &remarks)
	return code, out.String(), remarks.String()
}

// Plans of study files are simulated; the same seed gives the same counts, as text and as
// JSON, and progress goes beside.
func TestCalibrateStudies(t *testing.T) {
	args := []string{"../../studies/made-yesterday.yaml", "../../studies/one-name-each.yaml", "--studies", "40"}
	code, text, remarks := runCalibrateArgs(args...)
	if code != exitDone || !strings.Contains(text, "stated at most 5.0 %") || strings.Contains(text, "NaN") ||
		!strings.Contains(remarks, "2 of 2: ") || !strings.Contains(remarks, "100 %") {
		t.Fatalf("exit %d\n%s\n%s", code, text, remarks)
	}
	var plans []struct {
		Plan  string
		Rates []struct {
			What     string
			Hits, Of int
			Stated   float64
			Kept     bool
		}
	}
	_, out, _ := runCalibrateArgs(append(args, "--format", "json")...)
	_, again, _ := runCalibrateArgs(append(args, "--format", "json")...)
	if err := json.Unmarshal([]byte(out), &plans); err != nil || len(plans) != 2 || out != again {
		t.Fatalf("%v, %d plans, again the same: %v", err, len(plans), out == again)
	}
	for _, p := range plans {
		if len(p.Rates) < 2 || p.Rates[0].Of != 40 || !p.Rates[0].Kept || !strings.Contains(text, p.Plan) {
			t.Errorf("%+v", p)
		}
	}
	if code, _, remarks := runCalibrateArgs("--studies", "0"); code != exitUsage ||
		!strings.Contains(remarks, "--studies") {
		t.Errorf("no studies: exit %d, %s", code, remarks)
	}
}
