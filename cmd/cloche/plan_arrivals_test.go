package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/store"
)

// TestPlanDealsAgain runs a study whose samples are dealt on arrival, exports it, and deals
// again from its data package what was dealt.
func TestPlanDealsAgain(t *testing.T) {
	for _, study := range []string{"one-name-each", "name-by-table"} {
		t.Run(study, func(t *testing.T) {
			dir := t.TempDir()
			exportDealt(t, study, dir)
			at := func(name string) string { return filepath.Join(dir, "package", name) }
			args := []string{"plan", at("study.yaml"), "--arrivals", at("dealt.csv")}
			key := must(t, append(args, "--for", "key")...)
			kept := read(t, at("key.csv"))
			again, first := strings.Split(strings.TrimSpace(key), "\n"), strings.Split(strings.TrimSpace(kept), "\n")
			if len(again) != len(first) || len(again) != 31 {
				t.Fatalf("dealt again there are %d rows, exported %d, want 31", len(again), len(first))
			}
			for i := range again {
				if !strings.HasPrefix(first[i], again[i]+",") {
					t.Errorf("row %d is %q, exported %q", i+1, again[i], first[i])
				}
			}
			dealt := read(t, at("dealt.csv"))
			for name, tc := range map[string]struct{ old, new, says string }{
				"another sample":   {",A,", ",B,", "is not what the seed deals"},
				"no such column":   {"combination", "cell", "there is no column"},
				"in another order": {"\n1,", "\n2,", "in the order of arrival"},
				"no stratum":       {"\n1,1,", "\n1,1,9", "there is no stratum"},
			} {
				forged := filepath.Join(dir, "forged.csv")
				if err := os.WriteFile(forged, []byte(strings.Replace(dealt, tc.old, tc.new, 1)), 0o600); err != nil {
					t.Fatal(err)
				}
				code, _, stderr := command(t, "plan", at("study.yaml"), "--arrivals", forged)
				if code != exitInput || !strings.Contains(stderr, tc.says) {
					t.Errorf("%s: exit %d, %q", name, code, stderr)
				}
			}
		})
	}
}

func read(t *testing.T, file string) string {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// exportDealt runs an example with 30 guests, closes it and exports it.
func exportDealt(t *testing.T, study, dir string) {
	t.Helper()
	ctx, database := t.Context(), filepath.Join(dir, "kept.db")
	kept, err := store.Open(ctx, database)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	svc, err := panel.New(ctx, kept, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	sitting, _, err := openStudy(ctx, svc, []byte(read(t, "../../studies/"+study+".yaml")))
	if err != nil {
		t.Fatal(err)
	}
	for i := range 30 {
		levels := map[string]int{"g1": i%3/2 + 1, "g2": i%4/2 + 1}
		token, err := svc.Consent(ctx, sitting.Join, fmt.Sprint("guest ", i), panel.PhoneConsent{Levels: levels})
		if err != nil {
			t.Fatal(err)
		}
		if err := svc.Start(ctx, token); err != nil {
			t.Fatal(err)
		}
		b, err := svc.Ballot(ctx, token)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := svc.Submit(ctx, token, panel.Submission{ID: "page", TurnID: b.Gate.ID,
			Code:  string(b.Gate.Typed), // on the plate
			Given: map[string]string{"a1": fmt.Sprint(20 + i), "a2": "6"}}); err != nil {
			t.Fatal(err)
		}
	}
	if err := svc.Close(ctx, panel.Session{Role: panel.RoleLead}, sitting.StudyID); err != nil {
		t.Fatal(err)
	}
	must(t, "export", string(sitting.StudyID), "--out", filepath.Join(dir, "package"), "--database", database)
}
