package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/store"
	"cloche/internal/store/storetest"
)

// The faults that an evening may meet stand in tests whose names begin with TestFault, here
// and in the files for killed services, outages and several services. CLOCHE_FAULTS says how
// many of each there are; see DEVELOPERS.md.

// faults is how many faults of a kind a test brings about.
func faults(t *testing.T) int {
	t.Helper()
	if set := os.Getenv("CLOCHE_FAULTS"); set != "" {
		n, err := strconv.Atoi(set)
		if err != nil || n < 1 {
			t.Fatalf("CLOCHE_FAULTS is %q; write how many faults of each kind", set)
		}
		return n
	}
	if testing.Short() {
		return 3
	}
	return 8
}

// asActor makes this test binary do one act on a database, in a process of its own that is
// killed in the middle: the name of the act, a space and what it is done to.
const asActor = "CLOCHE_TEST_AS_ACTOR"

// act is something that the lead does and that must happen whole or not at all.
type act struct {
	prepared panel.State // of the study, before
	do       func(ctx context.Context, kept *store.Store, svc *panel.Service, id panel.StudyID) error
	// done tells whether it happened, and fails the test when it happened by half
	done func(t *testing.T, kept *store.Store, svc *panel.Service, id panel.StudyID) bool
}

var leads = panel.Session{Role: panel.RoleLead}

var actsKilled = map[string]act{
	"lock": {panel.Draft, func(ctx context.Context, _ *store.Store, svc *panel.Service, id panel.StudyID) error {
		stored, err := svc.Study(ctx, id)
		return errors.Join(err, svc.Lock(ctx, leads, id, stored.Revision))
	}, wholeLock},
	"open": {panel.Locked, func(ctx context.Context, _ *store.Store, svc *panel.Service, id panel.StudyID) error {
		_, err := svc.OpenSitting(ctx, leads, id)
		return err
	}, wholeOpening},
	"release": {panel.Open, func(ctx context.Context, _ *store.Store, svc *panel.Service, id panel.StudyID) error {
		all, err := svc.Sittings(ctx, id)
		if err != nil {
			return err
		}
		return svc.ReleaseWave(ctx, leads, all[0].ID, 1, panel.PhoneAct{ID: "one wave"})
	}, wholeRelease},
	"close": {panel.Open, func(ctx context.Context, _ *store.Store, svc *panel.Service, id panel.StudyID) error {
		return svc.Close(ctx, leads, id)
	}, wholeClose},
	"backup": {panel.Open, func(ctx context.Context, kept *store.Store, _ *panel.Service, _ panel.StudyID) error {
		_, err := kept.BackupFile(ctx, os.Getenv(asActor+"_FILE"), false, time.Now())
		return err
	}, wholeBackup},
	"migrate": {panel.Open, func(ctx context.Context, kept *store.Store, _ *panel.Service, _ panel.StudyID) error {
		_, err := store.Copy(ctx, os.Getenv(asActor+"_FROM"), os.Getenv(asActor+"_FILE"), time.Now())
		return err
	}, wholeMigration},
	"tables": {panel.Draft, func(ctx context.Context, _ *store.Store, _ *panel.Service, _ panel.StudyID) error {
		fresh, err := store.Open(ctx, os.Getenv(asActor+"_FILE"))
		if err != nil {
			return err
		}
		return fresh.Close()
	}, wholeTables},
}

// wholeLock: a draft without a plan, or a locked study whose plan is the one that was hashed.
func wholeLock(t *testing.T, kept *store.Store, svc *panel.Service, id panel.StudyID) bool {
	t.Helper()
	stored, err := svc.Study(t.Context(), id)
	fatal(t, err)
	turns, err := kept.AllTurns(t.Context(), id)
	fatal(t, err)
	if stored.State == panel.Draft {
		if len(turns) > 0 || logged(t, svc, id, "locked") > 0 {
			t.Errorf("a draft has %d turns", len(turns))
		}
		return false
	}
	if _, err := stored.FixedPlan(); err != nil || len(turns) != peopleKilled*servingsEach ||
		logged(t, svc, id, "locked") != 1 {
		t.Errorf("a locked study has %d turns of %d, %v", len(turns), peopleKilled*servingsEach, err)
	}
	return true
}

func wholeOpening(t *testing.T, _ *store.Store, svc *panel.Service, id panel.StudyID) bool {
	t.Helper()
	stored, err := svc.Study(t.Context(), id)
	fatal(t, err)
	all, err := svc.Sittings(t.Context(), id)
	fatal(t, err)
	open := len(all) == 1 && !all[0].OpenedAt.IsZero()
	if open != (stored.State == panel.Open) || open != (logged(t, svc, id, "opened") == 1) {
		t.Errorf("the study is %s and the sittings are %+v", stored.State, all)
	}
	return open
}

func wholeRelease(t *testing.T, _ *store.Store, svc *panel.Service, id panel.StudyID) bool {
	t.Helper()
	all, err := svc.Sittings(t.Context(), id)
	fatal(t, err)
	if n := logged(t, svc, id, "wave released"); n != all[0].Released {
		t.Errorf("released is %d, and the log has it %d times", all[0].Released, n)
	}
	return all[0].Released == 1
}

func wholeClose(t *testing.T, _ *store.Store, svc *panel.Service, id panel.StudyID) bool {
	t.Helper()
	stored, err := svc.Study(t.Context(), id)
	fatal(t, err)
	closed := stored.State == panel.Closed
	if closed != !stored.ClosedAt.IsZero() || closed != (logged(t, svc, id, "closed") == 1) {
		t.Errorf("the study is %s, closed at %s", stored.State, stored.ClosedAt)
	}
	return closed
}

// wholeBackup: no file of that name, or one that can be restored.
func wholeBackup(t *testing.T, _ *store.Store, _ *panel.Service, _ panel.StudyID) bool {
	t.Helper()
	file := os.Getenv(asActor + "_FILE")
	if _, err := os.Stat(file); err != nil {
		return false
	}
	if _, err := store.Restore(t.Context(), file, filepath.Join(t.TempDir(), "restored.db")); err != nil {
		t.Errorf("a backup that is there cannot be restored: %v", err)
	}
	return true
}

// wholeMigration: nothing is in the new database, or all of it; the tables may be there, empty.
func wholeMigration(t *testing.T, _ *store.Store, _ *panel.Service, id panel.StudyID) bool {
	t.Helper()
	to := os.Getenv(asActor + "_FILE")
	if _, err := os.Stat(to); err != nil && !strings.Contains(to, "://") {
		return false
	}
	moved, err := store.OpenAsIs(t.Context(), to)
	fatal(t, err)
	defer func() { fatal(t, moved.Close()) }()
	if moved.MustBeCurrent(t.Context()) != nil { // a server whose tables are not there yet
		return false
	}
	all, err := moved.Studies(t.Context())
	fatal(t, err)
	rated, err := moved.KeyedAnswers(t.Context(), id)
	fatal(t, err)
	if len(all) > 1 || len(rated) != 2*len(all) {
		t.Errorf("%d studies and %d answers were moved, want 1 and 2, or none", len(all), len(rated))
	}
	return len(all) == 1
}

// wholeTables: the next start makes what the one that was killed did not.
func wholeTables(t *testing.T, _ *store.Store, _ *panel.Service, _ panel.StudyID) bool {
	t.Helper()
	fresh, err := store.Open(t.Context(), os.Getenv(asActor+"_FILE"))
	fatal(t, err)
	fatal(t, errors.Join(fresh.Ready(t.Context(), time.Now()), fresh.Close()))
	return true
}

func logged(t *testing.T, svc *panel.Service, id panel.StudyID, what string) (n int) {
	t.Helper()
	log, err := svc.Log(t.Context(), leads, id)
	fatal(t, err)
	if len(log.Faults) > 0 {
		t.Errorf("the log of study %q is not whole: %v", id, log.Faults)
	}
	for _, e := range log.Entries {
		if e.What == what {
			n++
		}
	}
	return n
}

// actUntilKilled is the process that is killed: it says when it begins and when it is done.
func actUntilKilled() error {
	name, on, _ := strings.Cut(os.Getenv(asActor), " ")
	dsn, id, _ := strings.Cut(on, " ")
	ctx := context.Background()
	kept, err := store.Open(ctx, dsn)
	if err != nil {
		return err
	}
	svc, err := panel.New(ctx, kept, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		return err
	}
	fmt.Println("begun")
	if err := actsKilled[name].do(ctx, kept, svc, panel.StudyID(id)); err != nil {
		return err
	}
	fmt.Println("done")
	select {} // until it is killed
}

// peopleKilled is how many the study of these tests is for: enough that its lock takes a while.
const peopleKilled = 60

// make makes a database with a study in a state, and one answer where it is open.
func (a act) make(t *testing.T, dsn string) panel.StudyID {
	t.Helper()
	kept, err := store.Open(t.Context(), dsn)
	fatal(t, err)
	defer kept.Close()
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	fatal(t, err)
	stored, problems, err := svc.Upload(t.Context(), leads, "killed.yaml", fmt.Appendf(nil, crowdStudy, peopleKilled))
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	if a.prepared == panel.Draft {
		return stored.ID
	}
	fatal(t, svc.Lock(t.Context(), leads, stored.ID, stored.Revision))
	if a.prepared == panel.Open {
		sitting, err := svc.OpenSitting(t.Context(), leads, stored.ID)
		fatal(t, err)
		answerOne(t, svc, sitting.Join)
	}
	return stored.ID
}

// answerOne lets a guest answer the first serving.
func answerOne(t *testing.T, svc *panel.Service, join panel.JoinToken) {
	t.Helper()
	token, err := svc.Consent(t.Context(), join, "one", panel.PhoneConsent{})
	fatal(t, err)
	fatal(t, svc.Start(t.Context(), token))
	b, err := svc.Ballot(t.Context(), token)
	fatal(t, err)
	_, err = svc.Submit(t.Context(), token, panel.Submission{ID: "first", Seq: 1, TurnID: b.Turn.ID,
		Given: map[string]string{"a1": "40", "a2": "5"}})
	fatal(t, err)
}

// TestFaultKilledInTheMiddle kills the process in the middle of a lock, an opening, the release
// of a wave, a close, a backup, the making of tables and the move to another database, each on a
// file and on a server: each happened whole or not at all, and did happen when it was said to be
// done; and the act can be done afterwards.
func TestFaultKilledInTheMiddle(t *testing.T) {
	file := func(t *testing.T, name string) string { return filepath.Join(t.TempDir(), name) }
	server := func(t *testing.T, _ string) string { return storetest.Postgres(t) }
	for kind, database := range map[string]func(*testing.T, string) string{"SQLite": file, "PostgreSQL": server} {
		for name, a := range actsKilled {
			t.Run(kind+"/"+name, func(t *testing.T) { a.killed(t, name, database) })
		}
	}
}

// killed kills one act so often as is set, each time on a database of its own.
func (a act) killed(t *testing.T, name string, database func(t *testing.T, name string) string) {
	long, middle, rounds := 10*time.Millisecond, 0, faults(t)
	if os.Getenv("CLOCHE_FAULTS") == "" {
		rounds = 3 // as many acts on two kinds of database take long
	}
	for round := range rounds + 1 { // the first is let be: it says how long the act takes
		t.Run("", func(t *testing.T) {
			dsn := database(t, "house.db")
			other := filepath.Join(t.TempDir(), "other")
			if name == "migrate" || name == "tables" {
				other = database(t, "other.db")
			}
			t.Setenv(asActor+"_FILE", other)
			t.Setenv(asActor+"_FROM", dsn)
			id := a.make(t, dsn)
			wait := mathrand.N(long + time.Millisecond)
			if round == 0 {
				wait = time.Minute // how long it takes
			}
			took := killAt(t, name+" "+dsn+" "+string(id), wait)
			if round == 0 {
				long = took
			} else if took == 0 {
				middle++
			}
			a.check(t, dsn, id, took > 0)
		})
	}
	t.Logf("killed %d times, %d of these in the middle of what takes %s", rounds, middle, long)
	if rounds >= 100 && middle == 0 {
		t.Error("no kill came in the middle")
	}
}

// killAt starts the process and kills it so long after it began, or when it is done; took is
// how long that took, 0 when it was not done.
func killAt(t *testing.T, what string, wait time.Duration) (took time.Duration) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), asActor+"="+what)
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	fatal(t, err)
	fatal(t, child.Start())
	lines := bufio.NewReader(out)
	line, err := lines.ReadString('\n')
	if err != nil || line != "begun\n" {
		t.Fatalf("the process says %q, %v", line, err)
	}
	at := time.Now()
	said := make(chan string, 1)
	go func() {
		line, _ := lines.ReadString('\n') // "" when it was killed before
		said <- line
	}()
	timer := time.NewTimer(wait)
	defer timer.Stop()
	done := ""
	select {
	case done = <-said:
	case <-timer.C:
	}
	took = max(time.Since(at), 1)
	fatal(t, child.Process.Kill())
	if done == "" {
		done = <-said // it may have been done just before
	}
	_ = child.Wait() // it was killed
	if done != "done\n" {
		took = 0
	}
	return took
}

// check looks at the database as the next process finds it, and does the act again where it
// was not done.
func (a act) check(t *testing.T, dsn string, id panel.StudyID, told bool) {
	t.Helper()
	kept, err := store.Open(t.Context(), dsn)
	fatal(t, err)
	defer kept.Close()
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	fatal(t, err)
	happened := a.done(t, kept, svc, id)
	if told && !happened {
		t.Error("it was said to be done and did not happen")
	}
	if !happened {
		fatal(t, a.do(t.Context(), kept, svc, id))
		if !a.done(t, kept, svc, id) {
			t.Error("it cannot be done any more")
		}
	}
	if a.prepared == panel.Open {
		if rated, err := kept.KeyedAnswers(t.Context(), id); err != nil || len(rated) != 2 {
			t.Errorf("%d answers are kept of 2, %v", len(rated), err)
		}
	}
}

// TestFaultClockIsSet sets the clock back and forward between the answers of guests: all of
// them taste to the end and every answer is kept once, whatever the times say; nobody waits
// for more than twice a rinse.
func TestFaultClockIsSet(t *testing.T) {
	t.Parallel()
	for range faults(t) {
		clock := time.Date(2026, 10, 25, 20, 0, 0, 0, time.UTC)
		kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "c.db"))
		fatal(t, err)
		svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost,
			Now: func() time.Time { return clock }})
		fatal(t, err)
		text := strings.Replace(fmt.Sprintf(crowdStudy, 3), "rinse: 0 s", "rinse: 60 s", 1)
		sitting, _, err := openStudy(t.Context(), svc, []byte(text))
		fatal(t, err)
		want := 0
		for guest := range 3 {
			token, err := svc.Consent(t.Context(), sitting.Join, fmt.Sprint(guest), panel.PhoneConsent{})
			fatal(t, err)
			fatal(t, svc.Start(t.Context(), token))
			for seq := 1; seq <= servingsEach; seq++ {
				clock = clock.Add(mathrand.N(6*time.Hour) - 3*time.Hour)
				b, err := svc.Ballot(t.Context(), token)
				fatal(t, err)
				for waited := time.Duration(0); b.Stage == panel.StageRinse; { // as the phone counts down
					if waited += b.Rinse; waited > 2*time.Minute {
						t.Fatalf("a rinse of a minute lasts %s", waited)
					}
					clock = clock.Add(b.Rinse)
					b, err = svc.Ballot(t.Context(), token)
					fatal(t, err)
				}
				r, err := svc.Submit(t.Context(), token, panel.Submission{ID: fmt.Sprint(seq), Seq: seq,
					TurnID: b.Turn.ID, Given: map[string]string{"a1": "40", "a2": "5"}})
				if err != nil || r.Outcome != panel.Recorded {
					t.Fatalf("serving %d: %s, %v", seq, r.Outcome, err)
				}
				want += 2
			}
		}
		rated, err := kept.KeyedAnswers(t.Context(), sitting.StudyID)
		if err != nil || len(rated) != want {
			t.Errorf("%d answers are kept of %d, %v", len(rated), want, err)
		}
		fatal(t, errors.Join(svc.Close(t.Context(), leads, sitting.StudyID), kept.Close()))
	}
}

// TestFaultDoubledAndReordered has a phone that was without network for an hour send what it
// holds, corrections too, in any order, all at once and some of it twice. Each submission is
// taken once, and the answers that stand are one submission's, whole: the last one that the
// phone counted for its serving.
func TestFaultDoubledAndReordered(t *testing.T) {
	t.Parallel()
	for round := range faults(t) {
		kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "c.db"))
		fatal(t, err)
		svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
		fatal(t, err)
		sitting, _, err := openStudy(t.Context(), svc, fmt.Appendf(nil, crowdStudy, 1))
		fatal(t, err)
		token, err := svc.Consent(t.Context(), sitting.Join, "one", panel.PhoneConsent{})
		fatal(t, err)
		fatal(t, svc.Start(t.Context(), token))
		turns, err := kept.AllTurns(t.Context(), sitting.StudyID)
		fatal(t, err)
		rand := mathrand.New(mathrand.NewPCG(uint64(round), 17))
		held, last := heldByPhone(rand, turns)
		outcomes := sendAtOnce(t, svc, token, held)
		for id, n := range outcomes {
			if n != 1 {
				t.Errorf("submission %s was taken %d times", id, n)
			}
		}
		rated, err := kept.KeyedAnswers(t.Context(), sitting.StudyID)
		if err != nil || len(rated) != 2*len(turns) {
			t.Errorf("%d answers are kept of %d, %v", len(rated), 2*len(turns), err)
		}
		for _, r := range rated {
			if want := last[string(r.Code)]; r.Attribute == "salt" && fmt.Sprint(r.Value) != want {
				t.Errorf("serving %s is kept as %v, last given was %s", r.Code, r.Value, want)
			}
		}
		fatal(t, kept.Close())
	}
}

// heldByPhone makes the submissions of a phone, corrections before the next serving, each
// once or twice, and says what was given last for each plate.
func heldByPhone(rand *mathrand.Rand, turns []panel.Turn) (held []panel.Submission, last map[string]string) {
	last = map[string]string{}
	seq := 0
	for _, x := range turns {
		for range 1 + rand.IntN(3) {
			seq++
			value := strconv.Itoa(seq)
			last[string(x.Servings[0].Code)] = value
			s := panel.Submission{ID: fmt.Sprint("s", seq), Seq: seq, TurnID: x.ID, Code: string(x.Servings[0].Code),
				Waited: time.Hour, Given: map[string]string{"a1": value, "a2": "5"}}
			for range 1 + rand.IntN(2) {
				held = append(held, s)
			}
		}
	}
	rand.Shuffle(len(held), func(i, j int) { held[i], held[j] = held[j], held[i] })
	return held, last
}

// sendAtOnce sends all, and counts how often each was taken as new.
func sendAtOnce(t *testing.T, svc *panel.Service, token panel.SeatToken, held []panel.Submission) map[string]int {
	t.Helper()
	var mu sync.Mutex
	taken := map[string]int{}
	var wait sync.WaitGroup
	for _, s := range held {
		wait.Go(func() {
			r, err := svc.Submit(t.Context(), token, s)
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Errorf("submission %s: %v", s.ID, err)
			}
			if r.Outcome != panel.Repeated {
				taken[s.ID]++
			}
		})
	}
	wait.Wait()
	return taken
}
