package main

import (
	"bytes"
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
		"2 samples (A: Warm celeriac custard called “celeriac crème brûlée”, B: Warm celeriac custard called " +
		"“celeriac royale”); " +
		"4 attributes (saltiness, sweetness, smoothness, liking); 40 assessors at 1 sitting; invented ratings; SHA-256 "
	crowded := filepath.Join(t.TempDir(), "crowded.yaml")
	if err := os.WriteFile(crowded, bytes.Replace(src, []byte("assessors: 40"), []byte("assessors: 4000"), 1),
		0o600); err != nil {
		t.Fatal(err)
	}
	missing := filepath.Join(t.TempDir(), "none.yaml")
	tests := []struct {
		name  string
		args  []string
		stdin string
		code  int
		lines []string // the beginning of each line of stdout
	}{
		{"sound", []string{sound}, "", exitDone, []string{is}},
		{"standard input", []string{"-"}, string(src), exitDone, []string{"-: sound. "}},
		{"every mistake", []string{wrong}, "", exitInput, mistakes},
		{"every file", []string{wrong, sound}, "", exitInput, append(mistakes[:2:2], is)},
		{"no plan can be drawn", []string{crowded}, "", exitInput,
			[]string{crowded + ": sitting 1 needs 8010 blinding codes"}},
		{"no such file", []string{missing, sound}, "", exitInput,
			[]string{missing + ": no such file or directory; write the name of a study file", is}},
		{"a folder", []string{"../../studies"}, "", exitInput, []string{"../../studies: is a directory; write"}},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			var stdout, stderr bytes.Buffer
			code := run(t.Context(), append([]string{"check"}, tc.args...), strings.NewReader(tc.stdin), &stdout,
				&stderr)
			if code != tc.code {
				t.Errorf("exit code %d, want %d", code, tc.code)
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
	var stdout, stderr bytes.Buffer
	if code := run(t.Context(), []string{"check"}, strings.NewReader(""), &stdout, &stderr); code != exitUsage {
		t.Errorf("exit code %d, want %d", code, exitUsage)
	}
	if stdout.Len() > 0 || !strings.Contains(stderr.String(), "arg") {
		t.Errorf("stdout %q, stderr %q; want what is wrong on stderr", &stdout, &stderr)
	}
}
