package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"gorm.io/gorm"

	"cloche/internal/panel"
	"cloche/internal/store/storetest"
)

// secret stands for a password: it must not come out anywhere.
const secret = "swordfish"

func TestOpenRefuses(t *testing.T) {
	folder := t.TempDir()
	text := filepath.Join(folder, "text.db")
	if err := os.WriteFile(text, []byte(strings.Repeat("a shopping list, not a database\n", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name, dsn, database, reason string
	}{
		{"missing folder", filepath.Join(folder, "no", "cloche.db"), filepath.Join(folder, "no", "cloche.db"),
			"the folder " + filepath.Join(folder, "no") + " does not exist"},
		{"folder", folder, folder, "this is a folder"},
		{"folder that is a file", filepath.Join(text, "cloche.db"), "text.db", "text.db is no folder"},
		{"file of something else", "sqlite:" + text, text, "no SQLite database"},
		{"in memory", ":memory:", ":memory:", "would be lost"},
		{"no path", "sqlite:", "", "write the path of a file"},
		{"unknown kind", "mysql://lead:" + secret + "@host/db", "mysql:…", "this kind of database is not known"},
		{"file address", "file:" + secret, "file:…", "this kind of database is not known"},
		{"port that is no number", "postgres://lead:" + secret + "@host:port/db", "postgres://…",
			"the address cannot be read"},
		{"password with a slash", "postgres://lead:" + secret + "/%zz@host/db", "postgres://…",
			"the address cannot be read"},
		{"password with @ and a slash", "postgres://lead:a@b/" + secret + "@127.0.0.1/db", "postgres://…",
			"PGPASSWORD"},
		{"password with a slash after digits", "postgres://lead:12/" + secret + "@127.0.0.1/db", "postgres://…",
			"PGPASSWORD"},
		{"password with a question mark", "postgres://lead:a@b?" + secret + "@127.0.0.1/db", "postgres://…",
			"PGPASSWORD"},
		{"password with a #", "postgres://lead:a@b#" + secret + "@127.0.0.1/db", "postgres://…", "PGPASSWORD"},
		{"nobody listens", "postgres://lead:" + secret + "@127.0.0.1:" + closedPort(t) + "/tasting",
			"tasting on 127.0.0.1:", "cannot be reached"},
		{"no such host", "postgres://lead:" + secret + "@cloche.invalid/tasting", "tasting on cloche.invalid:5432",
			"no computer of that name"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) { refuses(t, tc.dsn, tc.database, tc.reason) })
	}
}

// refuses checks that Open fails and says, in one line, which database and why.
func refuses(t *testing.T, dsn, database, reason string) {
	t.Helper()
	s, err := Open(t.Context(), dsn)
	if err == nil {
		s.Close()
		t.Fatalf("Open(%q) succeeded", dsn)
	}
	var refused *OpenError
	if !errors.As(err, &refused) {
		t.Errorf("error is a %T, want an OpenError", err)
	}
	message := err.Error()
	for _, want := range []string{database, reason} {
		if !strings.Contains(message, want) {
			t.Errorf("message %q does not say %q", message, want)
		}
	}
	if strings.Contains(message, "\n") {
		t.Errorf("message has more than one line: %q", message)
	}
	if everything := fmt.Sprintf("%s %+v", message, errors.Unwrap(err)); strings.Contains(everything, secret) {
		t.Errorf("the password is in %q", everything)
	}
}

// closedPort finds a port of this computer at which nobody listens.
func closedPort(t *testing.T) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	return fmt.Sprint(listener.Addr().(*net.TCPAddr).Port)
}

func TestOpenRefusesOnPostgres(t *testing.T) {
	address, err := url.Parse(storetest.Postgres(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Run("no such database", func(t *testing.T) {
		there := *address
		there.Path = "/no_such_tasting"
		refuses(t, there.String(), "no_such_tasting on "+address.Host, "no database of that name")
	})
	t.Run("no such user", func(t *testing.T) {
		there := *address
		there.User = url.UserPassword("no_such_lead", secret)
		refuses(t, there.String(), strings.TrimPrefix(address.Path, "/")+" on "+address.Host, "no_such_lead")
	})
}

// TestReasons covers what a test cannot bring about everywhere: who runs the
// tests may write any file, and a server may trust everybody.
func TestReasons(t *testing.T) {
	config := &pgx.ConnConfig{Config: pgconn.Config{User: "lead", Password: secret}}
	postgres := func(code string) string {
		return explainPostgres(config, fmt.Errorf("reach database: %w",
			&pgconn.PgError{Code: code, Severity: "FATAL", Message: "said\nso"}))
	}
	file := func(errno error) string {
		return explainFile("tasting.db", &fs.PathError{Op: "open", Path: "tasting.db", Err: errno})
	}
	tests := []struct{ name, got, want string }{
		{"read-only file", file(syscall.EACCES), "cannot be written by this program"},
		{"read-only disk", file(syscall.EROFS), "cannot be written by this program"},
		{"full disk", file(syscall.ENOSPC), "the disk is full"},
		{"broken disk", file(syscall.EIO), "input/output error"},
		{"wrong password", postgres(pgWrongPassword), `wrong password for user "lead"`},
		{"not let in", postgres(pgNotAllowed), "pg_hba.conf"},
		{"no database", postgres(pgNoDatabase), "createdb"},
		{"no right to make tables", postgres(pgNoPrivilege), "may not make tables"},
		{"no connection left", postgres(pgTooMany), "max_connections"},
		{"starting up", postgres(pgStarting), "try again"},
		{"something else", postgres("XX000"), "FATAL: said so (SQLSTATE XX000)"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if !strings.Contains(tc.got, tc.want) || strings.Contains(tc.got, "\n") ||
				strings.Contains(tc.got, secret) {
				t.Errorf("reason is %q, want one line with %q", tc.got, tc.want)
			}
		})
	}
}

// TestLockedFile opens a file that another program keeps for itself.
func TestLockedFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cloche.db")
	other := openAt(t, path)
	hold := other.write.Begin()
	defer hold.Rollback()
	if err := hold.Exec("DELETE FROM goose_db_version").Error; err != nil {
		t.Fatal(err)
	}
	s, err := connect(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.write.Exec("PRAGMA busy_timeout = 1").Error; err != nil {
		t.Fatal(err)
	}
	if reason := explainSQLite(s.write.Exec("DELETE FROM settings").Error); !strings.Contains(reason,
		"another program") {
		t.Errorf("reason is %q, want another program", reason)
	}
}

func TestSQLiteFile(t *testing.T) {
	t.Run("a name with every odd character", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "50 % of the café? #1 & more.db")
		s := openAt(t, "sqlite:"+path)
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if mode := info.Mode().Perm(); mode != 0o600 {
			t.Errorf("file mode is %o, want 600: ratings and password hashes are nobody else's", mode)
		}
		if err := s.CreateStudy(t.Context(), panel.Study{ID: "a", File: "b", Series: "a", Version: 1}, "",
			panel.Event{}); err != nil {
			t.Fatal(err)
		}
	})
	t.Run("no name", func(t *testing.T) {
		t.Chdir(t.TempDir())
		openAt(t, "")
		if _, err := os.Stat(DefaultPath); err != nil {
			t.Error(err)
		}
	})
	t.Run("opened again", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "cloche.db")
		for i := range 3 {
			s := openAt(t, path)
			studies, err := s.Studies(t.Context())
			if err != nil || len(studies) != i {
				t.Fatalf("%d studies, %v; want %d", len(studies), err, i)
			}
			if err := s.CreateStudy(t.Context(), panel.Study{ID: panel.StudyID(fmt.Sprint(i)), File: "b",
				Created: time.Unix(1, 0),
				Series:  panel.StudyID(fmt.Sprint(i)), Version: 1}, "", panel.Event{}); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// TestSQLiteSettings asks connections what they run with: a rating that was
// acknowledged is safe only with these.
func TestSQLiteSettings(t *testing.T) {
	s := openSQLite(t)
	tests := []struct {
		pool   string
		db     *gorm.DB
		pragma string
		want   string
	}{
		{"writer", s.write, "journal_mode", "wal"},
		{"writer", s.write, "synchronous", "2"}, // FULL
		{"writer", s.write, "foreign_keys", "1"},
		{"writer", s.write, "busy_timeout", "5000"},
		{"reader", s.read, "journal_mode", "wal"},
		{"reader", s.read, "busy_timeout", "5000"},
		{"reader", s.read, "query_only", "1"},
	}
	for _, tc := range tests {
		t.Run(tc.pool+" "+tc.pragma, func(t *testing.T) {
			var got string
			if err := tc.db.Raw("PRAGMA " + tc.pragma).Scan(&got).Error; err != nil {
				t.Fatal(err)
			}
			if got != tc.want {
				t.Errorf("%s is %s, want %s", tc.pragma, got, tc.want)
			}
		})
	}
}

// TestLogHoldsNoValues makes statements slow and wrong and reads the log: the
// statement is there when slow, its values never.
func TestLogHoldsNoValues(t *testing.T) {
	var log bytes.Buffer
	before := slog.Default()
	slog.SetDefault(slog.New(slog.NewTextHandler(&log, nil)))
	defer slog.SetDefault(before)
	s := openSQLite(t)

	if err := s.CreateSession(t.Context(), secret, panel.Session{Role: panel.RoleLead, Expires: time.Unix(1, 0)},
		time.Unix(0, 0)); err != nil {
		t.Fatal(err)
	}
	err := s.CreateSession(t.Context(), secret, panel.Session{Role: panel.RoleLead, Expires: time.Unix(1, 0)},
		time.Unix(0, 0))
	if err == nil || strings.Contains(err.Error(), secret) {
		t.Errorf("error %v, want one without the value", err)
	}
	slow := s.write.Session(&gorm.Session{Logger: logSlower(time.Nanosecond)})
	if err := slow.Take(&sessionRow{}, "token_hash = ?", secret).Error; err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(log.String(), "token_hash") || strings.Contains(log.String(), secret) {
		t.Errorf("log %q, want the statement without its value", log.String())
	}
}
