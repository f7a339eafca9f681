package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cloche/internal/store"
)

// command runs the program and returns exit code, standard output and errors.
func command(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = run(t.Context(), args, strings.NewReader(""), &out, &errs)
	return code, out.String(), errs.String()
}

// must runs the program and fails the test unless it ends well.
func must(t *testing.T, args ...string) string {
	t.Helper()
	code, stdout, stderr := command(t, args...)
	if code != exitDone {
		t.Fatalf("cloche %s: exit %d: %s", strings.Join(args, " "), code, stderr)
	}
	return stdout
}

// TestBackupAndRestore backs up the demo's studies while the database is open, and
// restores them into another file, whose backup is the same.
func TestBackupAndRestore(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	kept, err := store.Open(t.Context(), at("kept.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	if _, err := setTable(t.Context(), kept); err != nil {
		t.Fatal(err)
	}
	said := must(t, "backup", at("a.zip"), "--database", at("kept.db"))
	if !strings.Contains(said, "Backed up ") || !strings.Contains(said, "KiB") {
		t.Errorf("backup says %q", said)
	}
	if said = must(t, "restore", at("a.zip"), "--database", at("back.db")); !strings.Contains(said, "Restored ") {
		t.Errorf("restore says %q", said)
	}
	must(t, "backup", at("b.zip"), "--database", at("back.db"))
	refused := []struct {
		name string
		args []string
		says string
	}{
		{"an existing backup", []string{"backup", at("a.zip"), "--database", at("kept.db")}, "--replace"},
		{"a missing database", []string{"backup", at("c.zip"), "--database", at("none.db")}, "no such file"},
		{"into a filled database", []string{"restore", at("a.zip"), "--database", at("kept.db")}, "never overwrites"},
		{"from what is no backup", []string{"restore", at("kept.db"), "--database", at("new.db")}, "no archive"},
	}
	for _, tc := range refused {
		t.Run(tc.name, func(t *testing.T) {
			if code, _, stderr := command(t, tc.args...); code != exitInput || !strings.Contains(stderr, tc.says) {
				t.Errorf("exit %d, %q; want %d and that it says %q", code, stderr, exitInput, tc.says)
			}
		})
	}
	for _, name := range []string{"c.zip", "none.db", "new.db"} {
		if _, err := os.Stat(at(name)); err == nil {
			t.Errorf("%s was made", name)
		}
	}
	must(t, "backup", at("a.zip"), "--replace", "--database", at("back.db"))
	sameStudies(t, kept, at("back.db"))
}

// sameStudies compares what the service reads of the closed study.
func sameStudies(t *testing.T, kept *store.Store, restored string) {
	t.Helper()
	back, err := store.Open(t.Context(), restored)
	if err != nil {
		t.Fatal(err)
	}
	defer back.Close()
	studies, err := kept.Studies(t.Context())
	if err != nil || len(studies) != 2 {
		t.Fatalf("%d studies, %v", len(studies), err)
	}
	for _, x := range studies {
		want, err := kept.KeyedAnswers(t.Context(), x.ID)
		if err != nil {
			t.Fatal(err)
		}
		got, err := back.KeyedAnswers(t.Context(), x.ID)
		if err != nil {
			t.Fatal(err)
		}
		if len(want) != len(got) {
			t.Errorf("study %s has %d ratings after the restore, want %d", x.State, len(got), len(want))
		}
	}
}
