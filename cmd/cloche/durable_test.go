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
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/store"
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
// it again, and finds every acknowledged answer exactly once.
func TestFaultServiceKilled(t *testing.T) {
	t.Parallel()
	kills := faults(t)
	people := min(20+10*kills, 200) // so that there is something to rate until the last; codes allow 209
	dsn := filepath.Join(t.TempDir(), "c.db")
	study, join := openTasting(t, dsn, people)
	s := startService(t, dsn)
	g := newGuests(t, s, join)
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
	defer cancel()
	errs := g.tasteAll(ctx, people)
	killed := 0
	for step := people * servingsEach / (kills + 1); killed < kills; killed++ {
		for goal := (killed + 1) * step; g.count() < goal && ctx.Err() == nil; {
			sleep(ctx, time.Millisecond)
		}
		sleep(ctx, mathrand.N(5*time.Millisecond))
		before := g.count()
		s.kill()
		t.Logf("killed with %d of %d servings acknowledged", before, people*servingsEach)
		s.start()
	}
	finished(t, errs)
	s.kill()
	g.checkKept(dsn, study, people)
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
