package main

import (
	"context"
	"fmt"
	mathrand "math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/store"
	"cloche/internal/store/storetest"
)

// asProgram makes this test binary run as the program itself, in a process of its
// own that can be killed.
const asProgram = "CLOCHE_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		return
	}
	if os.Getenv(asActor) != "" {
		if err := actUntilKilled(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// crowdStudy is an invented study for so many assessors, four servings each.
const crowdStudy = `cloche: 1
title: Four invented names for one custard
question: names
invented: true
dishes:
  - {id: custard, title: warm celeriac custard, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs, celery]}
names:
  - {id: brulee, text: celeriac crème brûlée}
  - {id: royale, text: celeriac royale}
  - {id: cream, text: set celeriac cream}
  - {id: flan, text: celeriac flan}
samples:
  - {id: A, dish: custard, name: brulee}
  - {id: B, dish: custard, name: royale}
  - {id: C, dish: custard, name: cream}
  - {id: D, dish: custard, name: flan}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all salty, extremely salty]}}
  - {id: liking, ask: How much do you like it?, scale: hedonic-9}
panel: {assessors: %d}
serving: {rinse: 0 s, plate gate: false, seed: 7, spare codes: 0}
texts:
  consent: I agree to taste four spoonfuls.
  instructions: Take a spoonful, then answer.
  thanks: That was all.
analysis: {compare: [A, B], attribute: salt}
`

const servingsEach = 4

// openTasting makes a database with an open study, and returns its id and the
// token of its join link.
func openTasting(t *testing.T, dsn string, assessors int) (id panel.StudyID, join panel.JoinToken) {
	t.Helper()
	kept, err := store.Open(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	sitting, _, err := openStudy(t.Context(), svc, fmt.Appendf(nil, crowdStudy, assessors))
	if err != nil {
		t.Fatal(err)
	}
	return sitting.StudyID, sitting.Join
}

// service is the program as its own process.
type service struct {
	t       *testing.T
	dsn     string
	address string // host and port, the same after a restart
	cmd     *exec.Cmd
	log     *lines
}

var readyAt = regexp.MustCompile(`ready at http://(\S+)`)

// start starts the program on the database and waits until it is ready.
func (s *service) start() {
	s.t.Helper()
	if s.address == "" {
		s.address = "127.0.0.1:0"
	}
	var out lines
	s.log = &lines{}
	s.cmd = exec.Command(os.Args[0], "serve", "--database", s.dsn, "--listen", s.address)
	s.cmd.Env = append(os.Environ(), asProgram+"=1")
	s.cmd.Stdout, s.cmd.Stderr = &out, s.log
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	for deadline := time.Now().Add(time.Minute); ; time.Sleep(2 * time.Millisecond) {
		if m := readyAt.FindStringSubmatch(out.String()); m != nil {
			if s.address != m[1] { // phones read it while the service restarts
				s.address = m[1]
			}
			return
		}
		if time.Now().After(deadline) {
			s.t.Fatalf("the service does not start: %s %s", out.String(), s.log.String())
		}
	}
}

// kill ends the process as a power cut would: no signal that it could handle.
func (s *service) kill() {
	s.t.Helper()
	if err := s.cmd.Process.Kill(); err != nil {
		s.t.Fatal(err)
	}
	if err := s.cmd.Wait(); err == nil {
		s.t.Fatal("the process ended before it was killed")
	}
}

func startService(t *testing.T, dsn string) *service {
	t.Helper()
	s := &service{t: t, dsn: dsn}
	s.start()
	t.Cleanup(func() {
		if s.cmd.ProcessState == nil {
			s.kill()
		}
	})
	return s
}

// finished waits for all guests.
func finished(t *testing.T, errs <-chan error) {
	t.Helper()
	for err := range errs {
		t.Error(err)
	}
}

// TestFaultServiceKilled kills the program at random moments while phones rate, starts
// it again, and finds every acknowledged answer exactly once; the log of the next start says
// that the one before did not close its database. A server has its own log for that.
func TestFaultServiceKilled(t *testing.T) {
	t.Parallel()
	t.Run("SQLite", func(t *testing.T) {
		t.Parallel()
		killWhileRating(t, func() string { return filepath.Join(t.TempDir(), "c.db") }, "was not closed before")
	})
	t.Run("PostgreSQL", func(t *testing.T) {
		t.Parallel()
		killWhileRating(t, func() string { return storetest.Postgres(t) }, "")
	})
}

// killWhileRating kills so often as is set, each time after something new was acknowledged, in as many
// tastings as that takes.
func killWhileRating(t *testing.T, database func() string, said string) {
	t.Helper()
	kills, killed := faults(t), 0
	for killed < kills {
		people := min(20+10*(kills-killed), 60) // so that there is something to rate for a while
		dsn := database()
		study, join := openTasting(t, dsn, people)
		s := startService(t, dsn)
		g := newGuests(t, s, join)
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(5+kills/4)*time.Minute)
		errs := g.tasteAll(ctx, people)
		began := killed
		for all, before := people*servingsEach, 0; killed < kills && before < all && ctx.Err() == nil; {
			for g.count() == before && ctx.Err() == nil {
				sleep(ctx, time.Millisecond)
			}
			sleep(ctx, mathrand.N(20*time.Millisecond))
			before = g.count()
			s.kill()
			s.start()
			killed++
			until(t, "that the database was not closed", func() bool { return strings.Contains(s.log.String(), said) })
		}
		finished(t, errs)
		cancel()
		s.kill()
		g.checkKept(dsn, study, people)
		t.Logf("killed %d times while %d people rated %d servings", killed-began, people, g.count())
		if t.Failed() {
			return
		}
	}
}

// freePort returns a port of this machine that nobody listens on.
func freePort(t *testing.T) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}
