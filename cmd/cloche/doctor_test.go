package main

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/store"
)

// TestDoctor: a sound service is well; what is wrong, and only that, ends with code 1
// and says what to do.
func TestDoctor(t *testing.T) {
	up := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/readyz" {
			http.NotFound(w, r)
		}
	}))
	defer up.Close()
	full := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.WriteHeader(http.StatusServiceUnavailable)
	}))
	defer full.Close()
	fresh := folderWith(t, time.Now().Add(-time.Hour).Format(nightlyName))
	old := folderWith(t, time.Now().Add(-72*time.Hour).Format(nightlyName))
	sound := databaseAt(t, time.Now())
	for _, tc := range []struct {
		name string
		args []string
		want int
		says []string
	}{
		{"all well", []string{"--database", sound, "--backup-dir", fresh, "--url", up.URL}, exitDone,
			[]string{"well     database: ", "well     writing: ", "well     clock: ", "well     backups: the newest",
				"CAUTION  address: " + up.URL + " answers, without HTTPS"}},
		{"no database", []string{"--database", filepath.Join(t.TempDir(), "none.db")}, exitInput,
			[]string{"WRONG    database: ", "CAUTION  backups: no folder"}},
		{"a damaged file", []string{"--database", damaged(t)}, exitInput, []string{"WRONG    database: "}},
		{"a clock set back", []string{"--database", databaseAt(t, time.Now().Add(48*time.Hour))}, exitInput,
			[]string{"WRONG    clock: ", "set the clock"}},
		{"old backups", []string{"--database", sound, "--backup-dir", old}, exitDone,
			[]string{"CAUTION  backups: the newest"}},
		{"no folder", []string{"--database", sound, "--backup-dir", "/nowhere/at/all"}, exitInput,
			[]string{"WRONG    backups: "}},
		{"a service that cannot write", []string{"--database", sound, "--url", full.URL}, exitInput,
			[]string{"WRONG    address: ", "503"}},
		{"no address", []string{"--database", sound, "--url", "tasting"}, exitInput, []string{"WRONG    address: "}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var out, failed bytes.Buffer
			args := append([]string{"doctor"}, tc.args...)
			if got := run(t.Context(), args, strings.NewReader(""), &out, &failed); got != tc.want {
				t.Errorf("exit %d, want %d\n%s%s", got, tc.want, &out, &failed)
			}
			for _, want := range tc.says {
				if !strings.Contains(out.String(), want) {
					t.Errorf("lacks %q:\n%s", want, &out)
				}
			}
			if wrong := strings.Contains(out.String(), "WRONG"); wrong != (tc.want != exitDone) {
				t.Errorf("exit %d with\n%s", tc.want, &out)
			}
		})
	}
}

// databaseAt is a database whose log has an entry of a moment.
func databaseAt(t *testing.T, at time.Time) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "house.db")
	s, err := store.Open(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.AppendEvent(t.Context(), panel.Event{At: at, Who: "lead", What: "signed in"}); err != nil {
		t.Fatal(err)
	}
	return file
}

// damaged is a database of which a page in the middle was overwritten.
func damaged(t *testing.T) string {
	t.Helper()
	file := databaseAt(t, time.Now())
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 4096 {
		text[len(text)/2/4096*4096+i] = 0xaa
	}
	if err := os.WriteFile(file, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func folderWith(t *testing.T, name string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}
