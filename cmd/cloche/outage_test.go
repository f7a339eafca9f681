package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"github.com/mattn/go-sqlite3" // and the driver "sqlite3"

	"cloche/internal/panel"
)

// skip skips a test that needs what this machine lacks; where everything is
// required it fails instead.
func skip(t *testing.T, reason string) {
	t.Helper()
	if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
		t.Fatalf("%s, and CLOCHE_REQUIRE_ALL=1 allows no skip", reason)
	}
	t.Skip(reason)
}

// outage lets guests taste while the database goes away in the middle, and checks
// that they were told, that the service came back by itself, and that nothing is
// lost or twice.
type outage struct {
	people int
	// away takes the database away and gives it back, once or more often; it may wait until a
	// phone was told
	away func(toldOne func())
	told bool // it is away longer than a call waits: some must get a 503
}

func (o outage) run(t *testing.T, dsn string) {
	t.Helper()
	study, join := openTasting(t, dsn, o.people)
	s := startService(t, dsn)
	g := newGuests(t, s, join)
	ctx, cancel := context.WithTimeout(t.Context(), 3*time.Minute)
	defer cancel()
	errs := g.tasteAll(ctx, o.people)
	for g.count() < o.people && ctx.Err() == nil {
		sleep(ctx, time.Millisecond)
	}
	o.away(func() {
		for g.told() == 0 && ctx.Err() == nil {
			sleep(ctx, time.Millisecond)
		}
	})
	finished(t, errs)
	t.Logf("%d answers 503", g.told())
	if o.told && g.told() == 0 {
		t.Error("nobody was told that the database is away: the test shows nothing")
	}
	if said := s.log.String(); g.told() > 0 && !strings.Contains(said, panel.ErrUnavailable.Error()) {
		t.Errorf("phones were told that the database is away, and the log is silent: %s", said)
	}
	s.kill()
	g.checkKept(dsn, study, o.people)
}

// TestFaultDatabaseLocked holds the write lock of the file from another process, as a
// copying program does.
func TestFaultDatabaseLocked(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		told bool
	}{
		{"a few seconds: phones wait", false},
		{"longer than a call waits: phones are told", true},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if tc.told && testing.Short() {
				t.Skip("takes as long as it says")
			}
			path := filepath.Join(t.TempDir(), "c.db")
			outage{people: 30, told: tc.told, away: func(toldOne func()) {
				unlock := lockFile(t, path)
				sleep(t.Context(), 2*time.Second)
				if tc.told {
					toldOne()
				}
				unlock()
			}}.run(t, path)
		})
	}
}

// TestFaultDatabaseSlow has another program hold the write lock of the file most of the time,
// as if each commit took a failing disk a good third of a second: phones wait, and go on.
func TestFaultDatabaseSlow(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "c.db")
	outage{people: 30, away: func(func()) {
		for range faults(t) {
			unlock := lockFile(t, path)
			sleep(t.Context(), 350*time.Millisecond)
			unlock()
			sleep(t.Context(), 20*time.Millisecond)
		}
	}}.run(t, path)
}

// lockFile takes the write lock of a database between two writes of the service.
func lockFile(t *testing.T, path string) (unlock func()) {
	t.Helper()
	other, err := sql.Open("sqlite3", "file:"+path+"?_busy_timeout=0&_txlock=immediate")
	fatal(t, err)
	for {
		tx, err := other.Begin()
		if err == nil {
			return func() { fatal(t, errors.Join(tx.Rollback(), other.Close())) }
		}
		var busy sqlite3.Error
		if !errors.As(err, &busy) || busy.Code != sqlite3.ErrBusy {
			t.Fatal(err)
		}
	}
}

func fatal(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// TestFaultDiskFull fills the disk under the database and makes room again. A disk that
// a test may fill needs the right to mount one.
func TestFaultDiskFull(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=16m"); err != nil {
		skip(t, fmt.Sprintf("needs the right to mount a small disk (%v); the store's tests fill a database instead",
			err))
	}
	t.Cleanup(func() { fatal(t, syscall.Unmount(dir, 0)) })
	filler := filepath.Join(dir, "filler")
	outage{people: 30, told: true, away: func(toldOne func()) {
		fill(t, filler)
		toldOne() // the log may have room for some answers more
		fatal(t, os.Remove(filler))
	}}.run(t, filepath.Join(dir, "c.db"))
}

// fill writes a file until the disk is full.
func fill(t *testing.T, name string) {
	t.Helper()
	file, err := os.Create(name)
	fatal(t, err)
	defer file.Close()
	for _, block := range []int{64 << 10, 512} {
		for err = nil; err == nil; {
			_, err = file.Write(make([]byte, block))
		}
	}
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatalf("fill the disk: %v", err)
	}
}

// TestFaultFileReadOnly forbids every writing to the files of the database under the running service,
// as a disk does that was mounted anew after an error, and allows it again.
func TestFaultFileReadOnly(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "c.db")
	probe := filepath.Join(t.TempDir(), "probe")
	fatal(t, os.WriteFile(probe, []byte("x"), 0o600))
	if err := readOnly(probe, true); err != nil {
		skip(t, "neither this user nor this disk can forbid writing to a file that is open: "+err.Error())
	}
	fatal(t, readOnly(probe, false))
	both := func(on bool) {
		for _, name := range []string{path, path + "-wal"} {
			fatal(t, readOnly(name, on))
		}
	}
	outage{people: 30, told: true, away: func(toldOne func()) {
		defer both(false)
		both(true)
		toldOne()
	}}.run(t, path)
}

// readOnly makes a file one that nobody can write to, not even who has it open, or undoes that: the
// flag FS_IMMUTABLE_FL of Linux (ioctl_iflags(2)).
func readOnly(name string, on bool) error {
	const immutable, getFlags, setFlags = 0x10, 0x80086601, 0x40086602 // on machines of 64 bits
	file, err := os.Open(name)
	if err != nil {
		return err
	}
	defer file.Close()
	ask := func(what uintptr, flags *int) error {
		_, _, wrong := syscall.Syscall(syscall.SYS_IOCTL, file.Fd(), what, uintptr(unsafe.Pointer(flags)))
		if wrong != 0 {
			return wrong
		}
		return nil
	}
	var flags int
	if err := ask(getFlags, &flags); err != nil {
		return err
	}
	if flags &^= immutable; on {
		flags |= immutable
	}
	return ask(setFlags, &flags)
}

// TestFaultPostgresReadOnly makes the server refuse all writing, as one does that became a standby, and
// lets it write again.
func TestFaultPostgresReadOnly(t *testing.T) {
	t.Parallel()
	p := newPostgresServer(t, "")
	outage{people: 30, told: true, away: func(toldOne func()) {
		other, err := sql.Open("pgx", p.dsn())
		fatal(t, err)
		defer other.Close()
		for _, set := range []string{"on", "off"} {
			_, err = other.ExecContext(t.Context(), "alter system set default_transaction_read_only = "+set)
			fatal(t, err)
			_, err = other.ExecContext(t.Context(), "select pg_reload_conf()")
			fatal(t, err)
			if set == "on" {
				toldOne()
			}
		}
	}}.run(t, p.dsn())
}

// TestFaultReadOnlyFolder starts the program where it may not write: it says so at once.
func TestFaultReadOnlyFolder(t *testing.T) {
	dir := t.TempDir()
	fatal(t, os.Chmod(dir, 0o500))
	cmd := exec.Command(os.Args[0], "serve", "--database", filepath.Join(dir, "c.db"), "--listen", "127.0.0.1:0")
	cmd.Env = append(os.Environ(), asProgram+"=1")
	if os.Geteuid() == 0 { // who may do everything
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		openPath(t, dir)
		fatal(t, os.Chmod(dir, 0o555))
		cmd.Path = copyForAll(t)
	}
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != exitInput ||
		!strings.Contains(string(out), "cannot be written by this program") {
		t.Errorf("%v: %s; want exit %d and why", err, out, exitInput)
	}
}

// openPath lets everybody pass through the folders above a test's own.
func openPath(t *testing.T, dir string) {
	t.Helper()
	for up := filepath.Dir(dir); len(up) > len(os.TempDir()); up = filepath.Dir(up) {
		fatal(t, os.Chmod(up, 0o755))
	}
}

// copyForAll copies this program to where everybody may run it.
func copyForAll(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	openPath(t, filepath.Join(dir, "x"))
	in, err := os.Open(os.Args[0])
	fatal(t, err)
	defer in.Close()
	out, err := os.OpenFile(filepath.Join(dir, "cloche"), os.O_CREATE|os.O_WRONLY, 0o755)
	fatal(t, err)
	_, err = io.Copy(out, in)
	fatal(t, errors.Join(err, out.Close()))
	return out.Name()
}

// postgresServer is a PostgreSQL server of the test's own, which it may stop.
type postgresServer struct {
	t        *testing.T
	bin, dir string
	port     int
	as       *syscall.Credential // nil = this user
	more     string              // further arguments of the server
}

// newPostgresServer makes one with the programs of the usual Debian package.
func newPostgresServer(t *testing.T, more string) *postgresServer {
	t.Helper()
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	fatal(t, err)
	if len(found) == 0 {
		skip(t, "needs PostgreSQL's own programs in /usr/lib/postgresql")
	}
	p := &postgresServer{t: t, bin: filepath.Dir(found[len(found)-1]), dir: t.TempDir(), port: freePort(t),
		more: more}
	if os.Geteuid() == 0 { // PostgreSQL refuses to run as root
		owner, err := user.Lookup("postgres")
		if err != nil {
			skip(t, "needs the user postgres")
		}
		uid, err := strconv.Atoi(owner.Uid)
		fatal(t, err)
		gid, err := strconv.Atoi(owner.Gid)
		fatal(t, err)
		p.as = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
		fatal(t, os.Chown(p.dir, uid, gid))
		openPath(t, p.dir)
	}
	p.run("initdb", "-D", p.data(), "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync")
	p.start()
	t.Cleanup(func() { p.stop() })
	return p
}

func (p *postgresServer) data() string { return filepath.Join(p.dir, "data") }

func (p *postgresServer) dsn() string {
	return "postgres://postgres@127.0.0.1:" + strconv.Itoa(p.port) + "/postgres?sslmode=disable"
}

func (p *postgresServer) run(name string, args ...string) {
	p.t.Helper()
	cmd := exec.Command(filepath.Join(p.bin, name), args...)
	cmd.Dir = p.dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: p.as}
	log, err := os.CreateTemp(p.t.TempDir(), "log") // a pipe would stay open with the server
	fatal(p.t, err)
	defer log.Close()
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Run(); err != nil {
		said, _ := os.ReadFile(log.Name())
		p.t.Fatalf("%s: %v: %s", name, err, said)
	}
}

func (p *postgresServer) start() {
	p.run("pg_ctl", "-D", p.data(), "-w", "-l", filepath.Join(p.dir, "log"), "-o",
		"-p "+strconv.Itoa(p.port)+" -c listen_addresses=127.0.0.1 -c unix_socket_directories="+p.dir+p.more, "start")
}

// stop stops the server as a crash would, without a checkpoint.
func (p *postgresServer) stop() { p.run("pg_ctl", "-D", p.data(), "-m", "immediate", "stop") }

// TestFaultPostgresRestarted stops the database under the running service, for moments and
// once for ten seconds.
func TestFaultPostgresRestarted(t *testing.T) {
	t.Parallel()
	p := newPostgresServer(t, "")
	gone := []time.Duration{0, 300 * time.Millisecond, 10 * time.Second}
	if testing.Short() {
		gone = gone[:2]
	}
	outage{people: 40, told: true, away: func(func()) {
		for _, d := range gone {
			p.stop()
			sleep(t.Context(), d)
			p.start()
			sleep(t.Context(), 200*time.Millisecond)
		}
	}}.run(t, p.dsn())
}

// TestFaultConnectionsExhausted has other programs take every connection that the server gives,
// once the service's own are cut off: phones are told, and go on when there are some again.
func TestFaultConnectionsExhausted(t *testing.T) {
	t.Parallel()
	const most = 40
	p := newPostgresServer(t, fmt.Sprintf(" -c max_connections=%d -c superuser_reserved_connections=0", most))
	outage{people: 100, told: true, away: func(toldOne func()) {
		others, err := sql.Open("pgx", p.dsn())
		fatal(t, err)
		defer others.Close()
		var held []*sql.Conn
		defer func() {
			for _, c := range held {
				fatal(t, c.Close())
			}
		}()
		take := func() bool {
			c, err := others.Conn(t.Context())
			if err == nil {
				held = append(held, c)
			}
			return err == nil
		}
		if !take() {
			t.Fatal("no connection to begin with")
		}
		for len(held) < most {
			_, err := held[0].ExecContext(t.Context(), `select pg_terminate_backend(pid) from pg_stat_activity
				where datname = current_database() and application_name <> 'other' and pid <> pg_backend_pid()`)
			fatal(t, err)
			for take() {
				_, err := held[len(held)-1].ExecContext(t.Context(), `set application_name = 'other'`)
				fatal(t, err)
			}
		}
		toldOne()
	}}.run(t, p.dsn())
}
