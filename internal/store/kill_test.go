package store

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"cloche/internal/store/storetest"
)

// childDatabase names, in the environment of a process that runs this test
// binary once more, the database to rate into until it is killed.
const childDatabase = "STORE_TEST_CHILD_DATABASE"

func TestMain(m *testing.M) {
	path := os.Getenv(childDatabase)
	if path == "" {
		os.Exit(m.Run())
	}
	if err := rateUntilKilled(context.Background(), path); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

var killed = crowd{study: "killed", assessors: 120, servings: 8, attributes: 3}

// rateUntilKilled rates what is not rated yet, as eight phones at once, and
// writes the id of each turn once it is acknowledged.
func rateUntilKilled(ctx context.Context, path string) error {
	s, err := Open(ctx, path)
	if err != nil {
		return err
	}
	errs := make(chan error)
	const phones = 8
	for phone := range phones {
		go func() {
			for n := phone; n < killed.assessors; n += phones {
				if err := rateAll(ctx, s, n); err != nil {
					errs <- err
				}
			}
			errs <- nil
		}()
	}
	for range phones {
		if err := <-errs; err != nil {
			return err
		}
	}
	return s.Close()
}

// written keeps lines whole.
var written sync.Mutex

func rateAll(ctx context.Context, s *Store, assessor int) error {
	for order := range killed.servings {
		turn := killed.turn(assessor, order)
		value := rand.Float64()
		first, err := storetest.Rate(ctx, s, killed.assessor(assessor).ID, turn, killed.answers(turn, value), evening)
		if err != nil {
			return err
		}
		if !first {
			continue
		}
		written.Lock()
		_, err = fmt.Println(turn, value)
		written.Unlock()
		if err != nil {
			return err
		}
	}
	return nil
}

// TestKilled kills the process that keeps ratings, at moments chosen by chance,
// and finds every acknowledged rating exactly once, with the value that was
// acknowledged, and no turn answered by half. It shows that the log is replayed;
// that the disk itself holds what it said it holds only a power cut would show.
func TestKilled(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "cloche.db")
	s, err := Open(t.Context(), path)
	must(t, err)
	killed.open(t, s)
	killed.seat(t, s)
	must(t, s.Close())

	acknowledged := map[string]string{} // turn id → value
	rounds := 8
	if testing.Short() {
		rounds = 3
	}
	for round := range rounds {
		before := len(acknowledged)
		killOnce(t, path, acknowledged)
		if len(acknowledged) == before {
			t.Fatalf("round %d acknowledged nothing: the test shows nothing", round)
		}
		checkKept(t, path, acknowledged)
	}
	if all := killed.assessors * killed.servings; len(acknowledged) == all {
		t.Errorf("all %d servings were rated before the last kill; give it more", all)
	}
}

// killOnce starts a process that rates, kills it, and notes all that it
// acknowledged.
func killOnce(t *testing.T, path string, acknowledged map[string]string) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childDatabase+"="+path)
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	must(t, err)
	must(t, child.Start())
	lines := bufio.NewReader(out)
	enough := rand.IntN(80)
	for n := 0; ; n++ {
		line, err := lines.ReadString('\n')
		if err == io.EOF {
			break // a line without its end was never acknowledged
		}
		must(t, err)
		turn, value, _ := strings.Cut(strings.TrimSpace(line), " ")
		if _, twice := acknowledged[turn]; twice {
			t.Errorf("turn %s was acknowledged as new twice", turn)
		}
		acknowledged[turn] = value
		if n == enough {
			time.Sleep(rand.N(3 * time.Millisecond)) // a random moment within the next commits
			must(t, child.Process.Kill())
		}
	}
	if err := child.Wait(); err == nil {
		t.Error("the process ended before it was killed")
	}
}

// checkKept reads the database as the next process finds it.
func checkKept(t *testing.T, path string, acknowledged map[string]string) {
	t.Helper()
	s, err := Open(t.Context(), path)
	must(t, err)
	defer s.Close()
	var rows []answerRow
	must(t, s.read.Find(&rows).Error)
	kept := map[string][]string{}
	for _, row := range rows {
		kept[row.TurnID] = append(kept[row.TurnID], fmt.Sprint(row.Value))
	}
	for turn, value := range acknowledged {
		if _, found := kept[turn]; !found {
			t.Errorf("turn %s was acknowledged with %s and is lost", turn, value)
		}
	}
	for turn, values := range kept {
		want := strings.Repeat(values[0]+" ", killed.attributes)
		if value, known := acknowledged[turn]; known {
			want = strings.Repeat(value+" ", killed.attributes)
		}
		if got := strings.Join(values, " ") + " "; got != want {
			t.Errorf("turn %s is kept as %s, want %s", turn, got, want)
		}
	}
	var check string
	must(t, s.read.Raw("PRAGMA integrity_check").Scan(&check).Error)
	if check != "ok" {
		t.Errorf("the file is damaged: %s", check)
	}
}
