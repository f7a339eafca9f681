package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func runVerify(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	cmd := newVerifyCommand()
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	cmd.SetArgs(args)
	cmd.SetOut(&out)
	cmd.SetErr(&out)
	err := cmd.Execute()
	return out.String(), err
}

// onlyEntries writes a small reference file.
func onlyEntries(t *testing.T, entries string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "small.json")
	if err := os.WriteFile(path, []byte(`{"entries": [`+entries+`]}`), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

const (
	// Exact binomial: 24 triangles of which 13 correct (ISO 4120 table A.1, memory).
	rightEntry = `{"id": "right", "method": "discrimination", "source": "exact binomial", "data": {"correct": 13, ` +
		`"n": 24},
		"inputs": {"protocol": "triangle"}, "expected": {"p_greater": 0.0284411}, "tolerance": {"rel": 0, "abs": 1e-7}}`
	wrongEntry = `{"id": "wrong", "method": "discrimination", "source": "a wrong value", "data": {"correct": 13, ` +
		`"n": 24},
		"inputs": {"protocol": "triangle"}, "expected": {"p_greater": 0.03}, "tolerance": {"rel": 0, "abs": 1e-7}}`
)

func lastLine(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return lines[len(lines)-1]
}

func TestVerifyCommand(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name, entries, last string
		fails               bool
		says                []string
	}{
		{"all right", rightEntry, "1 passed, 0 failed", false,
			[]string{"pass  right", "exact binomial", "1 value compared, largest", "\n1 value compared\n"}},
		{"one wrong", rightEntry + "," + wrongEntry, "1 passed, 1 failed", true,
			[]string{"FAIL  wrong", "p_greater: expected 0.03, computed 0.02844"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			out, err := runVerify(t, onlyEntries(t, tc.entries))
			if errors.Is(err, errCheckFailed) != tc.fails || (err != nil) != tc.fails {
				t.Errorf("error %v, want a failed check: %v", err, tc.fails)
			}
			if lastLine(out) != tc.last {
				t.Errorf("last line %q, want %q", lastLine(out), tc.last)
			}
			for _, s := range tc.says {
				if !strings.Contains(out, s) {
					t.Errorf("output lacks %q:\n%s", s, out)
				}
			}
		})
	}
}

func TestVerifyCommandLine(t *testing.T) {
	t.Parallel()
	for name, args := range map[string][]string{"no file": {}, "unknown flag": {"--quick", "x.json"}} {
		if _, err := runVerify(t, args...); err == nil || errors.Is(err, errCheckFailed) {
			t.Errorf("%s: %v, want an error of the command line", name, err)
		}
	}
	out, err := runVerify(t, filepath.Join(t.TempDir(), "missing.json"))
	if !errors.Is(err, errCheckFailed) || lastLine(out) != "0 passed, 1 failed" {
		t.Errorf("missing file: %v\n%s", err, out)
	}
}
