package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A plan that can never be analysed is refused, at its place and with what to write; what
// is then written is sound.
func TestCheckRefusesWhatCannotBeAnalysed(t *testing.T) {
	all := []string{"compare: [R, P]", "compare: all"}
	for _, tc := range []struct {
		name, study string
		change      []string // old, new, …
		want        []string
		mended      []string // old, new, …
	}{
		{"friedman, some each", "seven-caramels", []string{"compare: [C, A]", "compare: all", "test: paired-t",
			"test: friedman"},
			[]string{":106:9: ", "write test: mixed-f"}, []string{"test: friedman", "test: mixed-f"}},
		{"repeated measures, some each", "seven-caramels", []string{"compare: [C, A]", "compare: all", "test: paired-t",
			"test: rm-anova"}, []string{":106:9: ", "write test: mixed-f"},
			[]string{"test: rm-anova", "test: mixed-f"}},
		{"all samples, two people", "four-custards", append(all, "test: paired-t", "test: mixed-f", "assessors: 48",
			"assessors: 2"), []string{":52:14: with 2 assessors ", "write 6 or more"},
			[]string{"assessors: 2", "assessors: 6"}},
		{"one person", "four-custards", []string{"assessors: 48", "assessors: 1"},
			[]string{":52:14: with one assessor ", "write 6 or more"}, []string{"assessors: 1", "assessors: 6"}},
		{"ranks of five", "four-custards", []string{"assessors: 48", "assessors: 5", "test: paired-t",
			"test: signed-rank"},
			[]string{"write 6 or more"}, []string{"assessors: 5", "assessors: 6"}},
		{"a strict level", "four-custards", []string{"assessors: 48", "assessors: 8", "alpha: 0.05", "alpha: 0.001"},
			[]string{"at alpha 0.001; write 11 or more"}, []string{"assessors: 8", "assessors: 11"}},
		{"nobody tastes both", "seven-caramels", []string{"assessors: 42", "assessors: 6"},
			[]string{"write 42 or more"}, []string{"assessors: 6", "assessors: 42"}},
		{"one sample each", "one-name-each", []string{"assessors: 80", "assessors: 7"}, []string{"write 8 or more"},
			[]string{"assessors: 7", "assessors: 8"}},
		{"triangle of two", "made-yesterday", []string{"assessors: 66", "assessors: 2"}, []string{"write 6 or more"},
			[]string{"assessors: 2", "assessors: 6"}},
		{"order of two", "four-crusts", []string{"assessors: 48", "assessors: 2"}, []string{"write 6 or more"},
			[]string{"assessors: 2", "assessors: 6"}},
		{"stopped too early", "four-custards", []string{"adjust: holm", "stop after: 2"},
			[]string{"let tasting end after 6 or more"}, []string{"stop after: 2", "stop after: 6"}},
		{"equivalence without a margin", "four-custards",
			[]string{"test: paired-t", "test: equivalence", "smallest effect:",
				"adjust: holm #", "adjust: holm\n", "\n"}, []string{"write smallest effect"},
			[]string{"adjust: holm #", "smallest effect:"}},
		{"lottery of all", "four-custards", append(all, "test: paired-t", "test: lottery"),
			[]string{"write test: mixed-f"}, []string{"test: lottery", "test: mixed-f"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			src, err := os.ReadFile("../../studies/" + tc.study + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			text := string(src)
			for i := 0; i < len(tc.change); i += 2 {
				if !strings.Contains(text, tc.change[i]) {
					t.Fatalf("the example lacks %q", tc.change[i])
				}
				text = strings.Replace(text, tc.change[i], tc.change[i+1], 1)
			}
			code, out := checkText(t, text)
			for _, want := range tc.want {
				if code != exitInput || !strings.Contains(out, want) {
					t.Errorf("exit %d: %s; want %q", code, out, want)
				}
			}
			if code, out := checkText(t, strings.NewReplacer(tc.mended...).Replace(text)); code != exitDone {
				t.Errorf("mended as it says: exit %d: %s", code, out)
			}
		})
	}
}

func checkText(t *testing.T, text string) (code int, out string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "study.yaml")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	var stdout, stderr bytes.Buffer
	code = run(context.Background(), []string{"check", file}, strings.NewReader(""), &stdout, &stderr)
	return code, stdout.String() + stderr.String()
}
