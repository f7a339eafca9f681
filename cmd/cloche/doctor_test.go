package main

import (
	"bytes"
	"crypto/x509"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"log"
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
		fmt.Fprint(w, "ready\nproxy: believed\n")
	}))
	defer up.Close()
	full := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.WriteHeader(http.StatusServiceUnavailable)
	}))
	defer full.Close()
	untrusted := httptest.NewTLSServer(http.NotFoundHandler())
	defer untrusted.Close()
	untrusted.Config.ErrorLog = log.New(io.Discard, "", 0)
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
			[]string{"well     database: ", "well     log: ", "well     writing: ", "well     clock: ",
				"well     backups: the newest",
				"CAUTION  address: " + up.URL + " answers, without HTTPS", "well     proxy: the address of who asks",
				"well     port: 127.0.0.1:0 is free"}},
		{"a certificate of one's own making", []string{"--database", sound, "--url", untrusted.URL}, exitInput,
			[]string{"WRONG    certificate: "}},
		{"the service on its port", []string{"--database", sound, "--listen", strings.TrimPrefix(up.URL, "http://")},
			exitDone, []string{"well     port: the service listens"}},
		{"another program on its port", []string{"--database", sound, "--listen",
			strings.TrimPrefix(full.URL, "http://")}, exitInput, []string{"WRONG    port: something else"}},
		{"no database", []string{"--database", filepath.Join(t.TempDir(), "none.db")}, exitInput,
			[]string{"WRONG    database: ", "CAUTION  backups: no folder"}},
		{"a damaged file", []string{"--database", damaged(t)}, exitInput, []string{"WRONG    database: "}},
		{"a line of a log taken out", []string{"--database", withoutAnEntry(t)}, exitInput,
			[]string{"WRONG    log: the service’s log: the end is cut off: it goes to entry 0, and 1 were written\n"}},
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
			args := append([]string{"doctor", "--listen", "127.0.0.1:0"}, tc.args...) // the last one counts
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

// TestWhatStandsInFront reads what a service says of its proxy, and how long a certificate lasts.
func TestWhatStandsInFront(t *testing.T) {
	for _, tc := range []struct {
		said  string
		byTLS bool
		well  bool
	}{
		{"ready\nproxy: believed\n", true, true}, {"ready\nproxy: none\n", false, true},
		{"ready\nproxy: none\n", true, false}, {"ready\nproxy: silent\n", true, false},
		{"ready\nproxy: not listed\n", false, false}, {"ready\n", false, false},
	} {
		if got := checkProxy(tc.said, tc.byTLS); (got.todo == "") != tc.well || got.wrong {
			t.Errorf("%q, by TLS %t: %+v", tc.said, tc.byTLS, got)
		}
	}
	now := time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)
	for days, well := range map[int]bool{60: true, 15: true, 13: false, 1: false} {
		c := &x509.Certificate{NotAfter: now.AddDate(0, 0, days)}
		if got := checkCertificate(c, now); (got.todo == "") != well || !strings.Contains(got.found, "June 2026") &&
			days < 20 {
			t.Errorf("%d days before it ends: %+v", days, got)
		}
	}
}

// TestServiceLooksAtItselfAtTheStart starts the program without a folder for backups: its log
// says so, and the lead is told by the same function.
func TestServiceLooksAtItselfAtTheStart(t *testing.T) {
	t.Parallel()
	dsn := databaseAt(t, time.Now().Add(48*time.Hour))
	s := startService(t, dsn)
	for _, want := range []string{"before guests come: backups", "before guests come: clock", "level=ERROR",
		"set the clock"} {
		if !strings.Contains(s.log.String(), want) {
			t.Errorf("no %q in the log:\n%s", want, s.log.String())
		}
	}
	s.kill()
	kept, err := store.Open(t.Context(), dsn)
	fatal(t, err)
	defer kept.Close()
	wrong := map[string]bool{}
	for _, x := range (settings{Database: dsn}).checkups(kept)(t.Context()) {
		wrong[x.What] = x.Wrong
	}
	if !wrong["clock"] || wrong["writing"] || wrong["disk"] {
		t.Errorf("wrong are %v, want the clock alone", wrong)
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

// withoutAnEntry is a database whose log has lost its entries, as somebody with the file could do.
func withoutAnEntry(t *testing.T) string {
	t.Helper()
	file := databaseAt(t, time.Now())
	db, err := sql.Open("sqlite3", file)
	fatal(t, err)
	_, err = db.ExecContext(t.Context(), "DELETE FROM events")
	fatal(t, errors.Join(err, db.Close()))
	return file
}
