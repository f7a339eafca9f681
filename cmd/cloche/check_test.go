package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestCheck(t *testing.T) {
	const sound = "../../studies/celeriac-custard.yaml"
	src, err := os.ReadFile(sound)
	if err != nil {
		t.Fatal(err)
	}
	wrong := filepath.Join(t.TempDir(), "wrong.yaml")
	spoilt := strings.Replace(strings.Replace(string(src), "milk", "mlik", 1), "assessors: 40", "assessors: many", 1)
	if err := os.WriteFile(wrong, []byte(spoilt), 0o600); err != nil {
		t.Fatal(err)
	}
	mistakes := []string{
		wrong + `:17:23: "mlik" is not one of the 14 allergens; write "milk"`,
		wrong + `:49:14: "assessors" is many; write a whole number from 1 to 100000`,
	}
	is := sound + ": sound. “Does its name change how salty a celeriac custard tastes?”; question: names; " +
		"2 samples (A: Warm celeriac custard called “celeriac crème brûlée”, B: Warm celeriac custard called “celeriac royale”); " +
		"4 attributes (saltiness, sweetness, smoothness, liking); 40 assessors at 1 sitting; invented ratings; SHA-256 "
	missing := filepath.Join(t.TempDir(), "none.yaml")
	tests := []struct {
		name  string
		args  []string
		stdin string
		err   error
		lines []string // the beginning of each line of stdout
	}{
		{"sound", []string{sound}, "", nil, []string{is}},
		{"standard input", []string{"-"}, string(src), nil, []string{"-: sound. "}},
		{"every mistake", []string{wrong}, "", errCheckFailed, mistakes},
		{"every file", []string{wrong, sound}, "", errCheckFailed, append(mistakes[:2:2], is)},
		{"no such file", []string{missing, sound}, "", errCheckFailed, []string{missing + ": no such file or directory; write the name of a study file", is}},
		{"a folder", []string{"../../studies"}, "", errCheckFailed, []string{"../../studies: is a directory; write"}},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			var stdout, stderr bytes.Buffer
			c := newCheckCommand()
			c.SetArgs(tc.args)
			c.SetIn(strings.NewReader(tc.stdin))
			c.SetOut(&stdout)
			c.SetErr(&stderr)
			c.SilenceErrors, c.SilenceUsage = true, true // as the root command has it
			if err := c.ExecuteContext(t.Context()); !errors.Is(err, tc.err) {
				t.Errorf("error %v, want %v", err, tc.err)
			}
			if stderr.Len() > 0 {
				t.Errorf("stderr: %s", &stderr)
			}
			lines := strings.Split(strings.TrimSpace(stdout.String()), "\n")
			if len(lines) != len(tc.lines) {
				t.Fatalf("%d lines, want %d:\n%s", len(lines), len(tc.lines), &stdout)
			}
			for i, want := range tc.lines {
				if !strings.HasPrefix(lines[i], want) {
					t.Errorf("line %d:\n%s\nwant it to begin:\n%s", i+1, lines[i], want)
				}
			}
		})
	}
}

func TestCheckWithoutFiles(t *testing.T) {
	c := newCheckCommand()
	c.SetArgs([]string{})
	c.SilenceErrors, c.SilenceUsage = true, true
	if err := c.ExecuteContext(t.Context()); err == nil || errors.Is(err, errCheckFailed) {
		t.Errorf("error %v, want one of the command line", err)
	}
}
