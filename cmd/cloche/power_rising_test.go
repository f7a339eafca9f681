package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Two people at a level of 99.9 %, whose amounts triple, reach further than a number holds where they scatter by two
// steps: a factor of 3^900.
func TestThresholdBeyondAllNumbersIsSaid(t *testing.T) {
	text, err := os.ReadFile("../../studies/little-smoke.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []string{"0.4 0.6", "0.8 1.8", "1.6 5.4", "3.2 16.2"} {
		was, is, _ := strings.Cut(x, " ")
		text = bytes.Replace(text, []byte("amount: "+was+"\n"), []byte("amount: "+is+"\n"), 1)
	}
	file := filepath.Join(t.TempDir(), "tripled.yaml")
	if err := os.WriteFile(file, append(text, "\nanalysis:\n  alpha: 0.001\n"...), 0o600); err != nil {
		t.Fatal(err)
	}
	code, out, remarks := runPowerArgs(file, "--assessors", "2")
	if code != exitDone || strings.Count(out, "more than a million") < 2 || strings.Contains(out, "Inf") {
		t.Errorf("exit %d, %s\n%s", code, remarks, out)
	}
	var got struct {
		Step   float64
		Panels []struct {
			OneStep  *float64 `json:"factor_one_step"`
			TwoSteps *float64 `json:"factor_two_steps"`
		}
	}
	code, out, remarks = runPowerArgs(file, "--assessors", "2", "--format", "json")
	if err := json.Unmarshal([]byte(out), &got); err != nil || code != exitDone || len(got.Panels) != 2 ||
		got.Panels[0].OneStep == nil || got.Panels[0].TwoSteps != nil {
		t.Errorf("exit %d, %v, %s\n%s", code, err, remarks, out)
	}
}
