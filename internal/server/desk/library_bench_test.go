package desk_test

import (
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	_ "github.com/mattn/go-sqlite3" // for copies
	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
	"cloche/internal/server/summary"
	"cloche/internal/store"
)

// BenchmarkLibrary asks for the list of studies and for what a search finds among ever more closed
// studies, each with a title of its own, a verdict and twenty entries in its log.
func BenchmarkLibrary(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		lead := amongClosed(b, n)
		lead(b, "/studies?q=zzzzzzzzzzz") // what a start reads beside requests: every study's file
		for _, page := range []struct{ name, path, says string }{
			{"list", "/studies", "Saltier as a number"},
			{"all", "/studies?all=yes", "Saltier as a number"},
			{"word", "/studies?q=number+" + fmt.Sprint(n/2), "Saltier as a number"},
			{"slip", "/studies?q=celreiac", "word for word"},
			{"nothing", "/studies?q=zzzzzzzzzzz", "No study has"},
		} {
			b.Run(fmt.Sprintf("%s/studies=%d", page.name, n), func(b *testing.B) {
				b.ReportAllocs()
				used := processorUsed(b)
				for b.Loop() {
					if got := lead(b, page.path); !strings.Contains(got, page.says) {
						b.Fatalf("nothing of %q in %s", page.says, got)
					}
				}
				b.ReportMetric(1000*(processorUsed(b)-used).Seconds()/float64(b.N), "processor-ms/op")
			})
		}
	}
}

// amongClosed is a lead who asks for pages of a service with so many closed studies.
func amongClosed(b *testing.B, n int) func(b *testing.B, path string) (page string) {
	must := func(err error) {
		b.Helper()
		if err != nil {
			b.Fatal(err)
		}
	}
	file := filepath.Join(b.TempDir(), "test.db")
	kept, err := store.Open(b.Context(), file)
	must(err)
	b.Cleanup(func() { must(kept.Close()) })
	svc, err := panel.New(b.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	must(err)
	must(svc.SetPassword(b.Context(), servertest.LeadName, servertest.LeadPassword))
	stored, _, err := svc.Upload(b.Context(), servertest.ByLead, "study.yaml", []byte(servertest.Custard))
	must(err)
	must(svc.Lock(b.Context(), servertest.ByLead, stored.ID, 1))
	_, err = svc.OpenSitting(b.Context(), servertest.ByLead, stored.ID)
	must(err)
	must(svc.Close(b.Context(), servertest.ByLead, stored.ID))
	must(copyClosed(file, stored.ID, n))
	handler, err := server.New(svc, server.Options{Log: slog.New(slog.DiscardHandler)})
	must(err)
	ask := func(method, path string, form url.Values, cookies []*http.Cookie) *httptest.ResponseRecorder {
		r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", "http://"+r.Host)
		for _, c := range cookies {
			r.AddCookie(c)
		}
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		return w
	}
	signedIn := ask(http.MethodPost, "/sign-in",
		url.Values{"name": {servertest.LeadName}, "password": {servertest.LeadPassword}}, nil).Result().Cookies()
	return func(b *testing.B, path string) string {
		b.Helper()
		w := ask(http.MethodGet, path, nil, signedIn)
		if w.Code != http.StatusOK {
			b.Fatalf("status %d", w.Code)
		}
		return w.Body.String()
	}
}

// processorUsed is what this process has used of the processors so far.
func processorUsed(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// copyClosed puts so many copies of a closed study beside it, without guests: no list counts them.
func copyClosed(file string, id panel.StudyID, copies int) error {
	db, err := sql.Open("sqlite3", "file:"+file+"?_busy_timeout=5000&_txlock=immediate")
	if err != nil {
		return err
	}
	defer db.Close()
	tx, err := db.Begin()
	if err != nil {
		return err
	}
	for i := range copies {
		for _, statement := range []string{
			`INSERT INTO studies (id, state, created_at, locked_at, seed, engine, study_hash, plan_hash, closed_at,
				series, file) SELECT id || @n, state, created_at, locked_at, seed, engine, study_hash, plan_hash,
				closed_at, id || @n,
				replace(file, 'title: ', 'title: Number ' || @n ||
					printf(' w%08x ', (abs(@n) * 2654435761) & 0xffffffff))
				FROM studies WHERE id = @id`,
			`INSERT INTO verdict_lines (study_id, said, people, as_of, program) VALUES (@id || @n,
				'en' || char(9) || 'Saltier as a number of its own than the other, by 12 of 100.' || char(10) ||
				'de' || char(9) || 'Salziger als eine eigene Nummer, um 12 von 100.' || char(10) ||
				'fr' || char(9) || 'Plus salé qu’un numéro, de 12 sur 100.' || char(10),
				40, 20, @program)`,
			`WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 20)
				INSERT INTO events (study_id, number, at, who, what, detail, before, hash)
				SELECT @id || @n, i, '2026-11-20 19:00:00+00:00', 'lead', 'copied', '', '', '' FROM n`,
		} {
			if _, err := tx.Exec(statement, sql.Named("n", fmt.Sprint("-", i)), sql.Named("id", string(id)),
				sql.Named("program", summary.Software())); err != nil {
				return errors.Join(err, tx.Rollback())
			}
		}
	}
	return tx.Commit()
}
