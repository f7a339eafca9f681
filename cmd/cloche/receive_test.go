package main

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/server/desk"
	"cloche/internal/store"
)

// TestReceive moves the demo's closed study to another database by its package, as a folder and as
// a ZIP file: the package is the same there, byte for byte, and what is spoilt is not taken.
func TestReceive(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	from, err := store.Open(t.Context(), at("from.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	set, err := setTable(t.Context(), from)
	if err != nil {
		t.Fatal(err)
	}
	must(t, "export", string(set.closed), "--out", at("package"), "--database", at("from.db"), "--author", "R. Öst",
		"--licence", "CC-BY-4.0", "--ethics", "none was asked for", "--registered", "nowhere")
	code, _, stderr := command(t, "receive", at("package"), "--database", at("from.db"))
	if code != exitInput || !strings.Contains(stderr, "on this service already") {
		t.Errorf("where it is: exit %d, %q", code, stderr)
	}
	for _, name := range []string{"to.db", "by-zip.db"} {
		to, err := store.Open(t.Context(), at(name))
		if err != nil {
			t.Fatal(err)
		}
		defer to.Close()
	}
	files := filesIn(t, at("package"))
	pack(t, at("package.zip"), files)
	said := must(t, "receive", at("package"), "--database", at("to.db"))
	if !strings.Contains(said, "come out the same here, byte for byte") || strings.Contains(said, "otherwise") {
		t.Errorf("it says %q", said)
	}
	must(t, "receive", at("package.zip"), "--database", at("by-zip.db"))
	moment := time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC)
	want := packed(t, at("from.db"), set.closed, moment)
	for _, name := range []string{"to.db", "by-zip.db"} {
		if got := packed(t, at(name), set.closed, moment); !bytes.Equal(got, want) {
			t.Errorf("%s: the package has %d bytes, and %d where it comes from", name, len(got), len(want))
		}
	}

	for what, spoil := range map[string]func(map[string][]byte){
		"a table that was changed": func(m map[string][]byte) { m["ratings.csv"] = append(m["ratings.csv"], '\n') },
		"a file more":              func(m map[string][]byte) { m["more.txt"] = []byte("x") },
		"a file less":              func(m map[string][]byte) { delete(m, "key.csv") },
		"no sums":                  func(m map[string][]byte) { delete(m, "SHA256SUMS") },
		"no record":                func(m map[string][]byte) { drop(m, "whole-study.jsonl") },
		"a record that says otherwise": func(m map[string][]byte) {
			old := m["whole-study.jsonl"]
			m["whole-study.jsonl"] = bytes.Replace(old, []byte(`"closed","`), []byte(`"closed ","`), 1)
			m["SHA256SUMS"] = bytes.Replace(m["SHA256SUMS"], sumOf(old), sumOf(m["whole-study.jsonl"]), 1)
		},
	} {
		t.Run(what, func(t *testing.T) {
			changed := map[string][]byte{}
			for name, b := range files {
				changed[name] = bytes.Clone(b)
			}
			spoil(changed)
			dir := t.TempDir()
			pack(t, filepath.Join(dir, "spoilt.zip"), changed)
			to, err := store.Open(t.Context(), filepath.Join(dir, "none.db"))
			if err != nil {
				t.Fatal(err)
			}
			defer to.Close()
			code, _, stderr := command(t, "receive", filepath.Join(dir, "spoilt.zip"), "--database",
				filepath.Join(dir, "none.db"))
			if code != exitInput || !strings.Contains(stderr, ";") {
				t.Errorf("exit %d, %q", code, stderr)
			}
			if all, err := to.Studies(t.Context()); err != nil || len(all) > 0 {
				t.Errorf("%d studies were taken, %v", len(all), err)
			}
		})
	}
}

// packed is the ZIP file of a study's package, as of a moment.
func packed(t *testing.T, database string, id panel.StudyID, at time.Time) []byte {
	t.Helper()
	kept, err := store.Open(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	d, err := desk.Collect(t.Context(), svc, id, at)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	err = datapackage.Zip(&b, at, func(put func(datapackage.File) error) error { return datapackage.Write(d, put) })
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func filesIn(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for _, e := range entries {
		if files[e.Name()], err = os.ReadFile(filepath.Join(dir, e.Name())); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

func pack(t *testing.T, file string, files map[string][]byte) {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, content := range files {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write(content)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
}

func sumOf(b []byte) []byte { return fmt.Appendf(nil, "%x", sha256.Sum256(b)) }

// drop takes a file out of a package and out of its sums.
func drop(m map[string][]byte, name string) {
	line := append(append(sumOf(m[name]), "  "...), name+"\n"...)
	m["SHA256SUMS"] = bytes.Replace(m["SHA256SUMS"], line, nil, 1)
	delete(m, name)
}
