package store

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/store/storetest"
)

// rewritten returns an archive in which each file is what change makes of it; nil
// drops it. A file that change is asked for under "" is added.
func rewritten(t *testing.T, archive string, change func(name string, text []byte) []byte) string {
	t.Helper()
	in, err := zip.OpenReader(archive)
	must(t, err)
	defer in.Close()
	path := filepath.Join(t.TempDir(), "spoilt.zip")
	file, err := os.Create(path)
	must(t, err)
	out := zip.NewWriter(file)
	put := func(name string, text []byte) {
		w, err := out.Create(name)
		must(t, err)
		_, err = w.Write(text)
		must(t, err)
	}
	for _, f := range in.File {
		r, err := f.Open()
		must(t, err)
		text, err := io.ReadAll(r)
		must(t, err)
		must(t, r.Close())
		if text = change(f.Name, text); text != nil {
			put(f.Name, text)
		}
	}
	if text := change("", nil); text != nil {
		put("tables/added.jsonl", text)
	}
	must(t, out.Close())
	must(t, file.Close())
	return path
}

// in replaces old by new in one file of an archive.
func in(file, old, by string) func(string, []byte) []byte {
	return func(name string, text []byte) []byte {
		if name == file {
			return bytes.Replace(text, []byte(old), []byte(by), 1)
		}
		return text
	}
}

// middleOf returns where the middle of a file's bytes stands in an archive.
func middleOf(t *testing.T, archive, name string) int64 {
	t.Helper()
	in, err := zip.OpenReader(archive)
	must(t, err)
	defer in.Close()
	for _, f := range in.File {
		if f.Name == name {
			at, err := f.DataOffset()
			must(t, err)
			return at + int64(f.CompressedSize64)/2
		}
	}
	t.Fatalf("%s is not in the archive", name)
	return 0
}

func TestSpoiltArchives(t *testing.T) {
	s := openSQLite(t)
	fillEverything(t, s)
	archive, _ := backedUp(t, s)
	whole, err := os.ReadFile(archive)
	must(t, err)
	bytesOf := func(text []byte) string {
		path := filepath.Join(t.TempDir(), "spoilt.zip")
		must(t, os.WriteFile(path, text, 0o600))
		return path
	}
	flipped := bytes.Clone(whole)
	flipped[middleOf(t, archive, "tables/answers.jsonl")] ^= 0x40
	tests := []struct {
		name, file string
		says       string
	}{
		{"cut short", bytesOf(whole[:len(whole)*2/3]), "cut short"},
		{"one bit turned", bytesOf(flipped), "use another backup"},
		{"empty", bytesOf(nil), "cut short"},
		{"no archive", bytesOf([]byte("assessor,position\n")), "no archive"},
		{"not there", filepath.Join(t.TempDir(), "none.zip"), "no such file"},
		{"another ZIP file", rewritten(t, archive, func(name string, text []byte) []byte {
			if name == manifestName {
				return nil
			}
			return text
		}), "has no manifest.json"},
		{"a manifest of something else", rewritten(t, archive, in(manifestName, `"backup"`, `"menu"`)),
			"none of a backup"},
		{"a manifest that breaks off", rewritten(t, archive, func(name string, text []byte) []byte {
			if name == manifestName {
				return text[:len(text)/2]
			}
			return text
		}), "manifest.json cannot be read"},
		{"a newer format", rewritten(t, archive, in(manifestName, `"format": 1`, `"format": 2`)), "format 2"},
		{"newer tables", rewritten(t, archive, in(manifestName, `"schema": `, `"schema": 99`)), "newer Cloche"},
		{"a changed value", rewritten(t, archive, in("tables/answers.jsonl", "33.3", "34.3")),
			"tables/answers.jsonl has the SHA-256"},
		{"a table left out", rewritten(t, archive, func(name string, text []byte) []byte {
			if name == "tables/events.jsonl" {
				return nil
			}
			return text
		}), "tables/events.jsonl is missing"},
		{"a file too many", rewritten(t, archive, func(name string, text []byte) []byte {
			if name == "" {
				return []byte("[]\n")
			}
			return text
		}), "tables/added.jsonl is not in the manifest"},
		{"a table of another version", rewritten(t, archive, func(name string, text []byte) []byte {
			text = in(manifestName, `"name": "settings"`, `"name": "wishes"`)(name, text)
			return text
		}), "tables/wishes.jsonl is missing"},
		{"a column of another version", rewritten(t, archive, in(manifestName, `"name": "detail"`, `"name": "remark"`)),
			"table events has columns"},
		{"a wrong kind", rewritten(t, archive, in(manifestName, `"kind": "real"`, `"kind": "text"`)),
			"table answers has columns"},
		{"a wrong count", rewritten(t, archive, in(manifestName, `"rows": 3`, `"rows": 4`)), "the manifest says 4"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			folder := t.TempDir()
			_, err := Restore(t.Context(), tc.file, filepath.Join(folder, "new.db"))
			var bad *ArchiveError
			if !errors.As(err, &bad) || !strings.Contains(err.Error(), tc.says) ||
				!strings.Contains(err.Error(), tc.file) {
				t.Errorf("restore: %v, want an error that names the file and says %q", err, tc.says)
			}
			wantFiles(t, folder)
		})
	}
}

// TestRestoreKeepsWhatIsThere checks that a restore never overwrites.
func TestRestoreKeepsWhatIsThere(t *testing.T) {
	s := openSQLite(t)
	fillEverything(t, s)
	archive, _ := backedUp(t, s)
	refused := func(t *testing.T, dsn, says string) {
		t.Helper()
		_, err := Restore(t.Context(), archive, dsn)
		var open *OpenError
		if !errors.As(err, &open) || !strings.Contains(err.Error(), says) {
			t.Errorf("restore: %v, want an error that says %q", err, says)
		}
	}
	t.Run("a file with data", func(t *testing.T) {
		path := newFile(t)
		kept := openAt(t, path)
		fillEverything(t, kept)
		before := cells(t, kept)
		refused(t, path, "exists already")
		if diff := cmp.Diff(before, cells(t, kept)); diff != "" {
			t.Errorf("the database was changed:\n%s", diff)
		}
	})
	t.Run("a log left behind", func(t *testing.T) {
		path := newFile(t)
		must(t, os.WriteFile(path+"-wal", []byte("left behind"), 0o600))
		refused(t, path, "-wal exists already")
	})
	t.Run("an empty file", func(t *testing.T) {
		path := newFile(t)
		must(t, os.WriteFile(path, nil, 0o600))
		restored(t, archive, path)
	})
	t.Run("a folder", func(t *testing.T) { refused(t, t.TempDir(), "is a folder") })
	t.Run("no folder", func(t *testing.T) { refused(t, filepath.Join(t.TempDir(), "none", "x.db"), "does not exist") })
	t.Run("postgres with data", func(t *testing.T) {
		dsn := storetest.Postgres(t)
		kept := openAt(t, dsn)
		_, err := kept.SetSetting(t.Context(), "secret", "invented")
		must(t, err)
		refused(t, dsn, "settings (1)")
	})
}

// TestRestoreAllOrNothing breaks off in the last table: nothing is kept, and the
// same database can be filled afterwards.
func TestRestoreAllOrNothing(t *testing.T) {
	s := openSQLite(t)
	fillEverything(t, s)
	// SQLite holds a zero byte in a text, PostgreSQL refuses it.
	must(t, s.write.Exec("UPDATE sessions SET token_hash = 'a' || char(0) || 'b' WHERE rowid = 2").Error)
	bad, _ := backedUp(t, s)
	must(t, s.write.Exec("UPDATE sessions SET token_hash = 'ab' WHERE rowid = 2").Error)
	good, _ := backedUp(t, s)
	dsn := storetest.Postgres(t)
	if _, err := Restore(t.Context(), bad, dsn); err == nil || !strings.Contains(err.Error(), "table sessions: row") {
		t.Fatalf("restore a zero byte: %v, want an error that names table and row", err)
	}
	restored(t, good, dsn)
}

// TestRowsComeBack checks that any row is read back as it was written, and that
// writing it again gives the same bytes.
func TestRowsComeBack(t *testing.T) {
	kinds := []string{"text", "integer", "real", "boolean", "time"}
	rapid.Check(t, func(t *rapid.T) {
		columns := rapid.SliceOfN(rapid.Map(rapid.SampledFrom(kinds), func(kind string) ArchivedColumn {
			return ArchivedColumn{Name: kind, Kind: kind}
		}), 1, 6).Draw(t, "columns")
		values := make([]any, len(columns))
		for i, c := range columns {
			values[i] = anyValue(t, c.Kind)
		}
		line, err := appendRow(nil, columns, values)
		if err != nil {
			t.Fatalf("write %v: %v", values, err)
		}
		back, err := readRow(line, columns)
		if err != nil {
			t.Fatalf("read %s: %v", line, err)
		}
		if diff := cmp.Diff(values, back); diff != "" {
			t.Fatalf("%s reads differently (-want +got):\n%s", line, diff)
		}
		if bytes.Count(line, []byte("\n")) != 1 {
			t.Fatalf("%q is not one line", line)
		}
	})
}

func anyValue(t *rapid.T, kind string) any {
	if rapid.IntRange(0, 4).Draw(t, "null") == 0 {
		return nil
	}
	switch kind {
	case "integer":
		return rapid.Int64().Draw(t, kind)
	case "real":
		return rapid.Float64().Draw(t, kind)
	case "boolean":
		return rapid.Bool().Draw(t, kind)
	case "time":
		return evening.Add(time.Duration(rapid.Int64Range(-1e18, 1e18).Draw(t, kind)))
	}
	if rapid.Bool().Draw(t, "bytes") {
		return string(rapid.SliceOf(rapid.Byte()).Draw(t, kind))
	}
	return rapid.String().Draw(t, kind)
}

func TestTablesInACircle(t *testing.T) {
	_, err := parentsFirst([]tableShape{{name: "a", refers: []string{"b"}}, {name: "b", refers: []string{"a"}},
		{name: "c"}})
	if err == nil || !strings.Contains(err.Error(), "circle") {
		t.Errorf("tables in a circle: %v", err)
	}
}
