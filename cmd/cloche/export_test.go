package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/store"
	"cloche/studies"
)

// TestExport writes the data package of the demo's closed study, and none of its
// open one.
func TestExport(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	database := at("kept.db")
	kept, err := store.Open(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	set, err := setTable(t.Context(), kept)
	if err != nil {
		t.Fatal(err)
	}
	const title = "Does its name change how salty a celeriac custard tastes?"
	said := must(t, "export", string(set.closed), "--out", at("package"), "--database", database)
	if !strings.Contains(said, "files of") {
		t.Errorf("export says %q", said)
	}
	// the open one of this title is passed over
	must(t, "export", strings.ToUpper(title), "--out", at("by-title"), "--database", database)
	for _, name := range []string{"README.txt", "study.yaml", "study.json", "plan.txt", "serving-plan.txt", "key.csv",
		"ratings.csv", "findings.json", "report.html", "log.csv", "codebook.csv", "datapackage.json", "SHA256SUMS"} {
		info, err := os.Stat(filepath.Join(at("package"), name))
		if err != nil || info.Size() == 0 || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info, err)
		}
	}
	must(t, "analyse", filepath.Join(at("package"), "study.yaml"), filepath.Join(at("package"), "ratings.csv"))

	refused := []struct {
		name      string
		study     panel.StudyID
		out, says string
	}{
		{"an open study", set.open, at("open"), "is open: the study is not closed"},
		{"an unknown study", "Soup", at("soup"), "no study with the id or title"},
		{"a folder that holds something", set.closed, at("package"), "holds something already"},
		{"a folder in no folder", set.closed, at("none/package"), "make the folder above it first"},
	}
	for _, tc := range refused {
		t.Run(tc.name, func(t *testing.T) {
			code, _, stderr := command(t, "export", string(tc.study), "--out", tc.out, "--database", database)
			if code != exitInput || !strings.Contains(stderr, tc.says) {
				t.Errorf("exit %d, %q; want %d and that it says %q", code, stderr, exitInput, tc.says)
			}
		})
	}
	for _, name := range []string{"open", "soup", "none"} {
		if _, err := os.Stat(at(name)); err == nil {
			t.Errorf("%s was made", name)
		}
	}
	if code, _, _ := command(t, "export", string(set.closed), "--database", database); code != exitUsage {
		t.Errorf("without --out: exit %d, want %d", code, exitUsage)
	}
	closeAnother(t, kept, database)
	code, _, stderr := command(t, "export", title, "--out", at("two"), "--database", database)
	if code != exitInput || !strings.Contains(stderr, "2 closed studies have this title") ||
		!strings.Contains(stderr, string(set.closed)) {
		t.Errorf("two studies of one title: exit %d, %q", code, stderr)
	}
}

// closeAnother runs and closes a study that nobody rates.
func closeAnother(t *testing.T, kept *store.Store, database string) {
	t.Helper()
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	sitting, _, err := openStudy(context.Background(), svc, studies.CeleriacCustard)
	if err != nil {
		t.Fatal(err)
	}
	if err := svc.Close(t.Context(), panel.Session{Role: panel.RoleLead}, sitting.StudyID); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "nobody")
	must(t, "export", string(sitting.StudyID), "--out", out, "--database", database)
	if _, err := os.Stat(filepath.Join(out, "findings.json")); err == nil {
		t.Error("a study that nobody rated has findings")
	}
	if _, err := os.Stat(filepath.Join(out, "report.html")); err == nil {
		t.Error("a study that nobody rated has a report")
	}
}
