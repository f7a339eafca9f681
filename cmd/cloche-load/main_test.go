package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// TestMain lets this test binary be the service of a round.
func TestMain(m *testing.M) {
	if os.Getenv(asService) != "" {
		main()
		return
	}
	os.Exit(m.Run())
}

// collapsed is the share of the bare rate below which something is badly wrong, in per cent: less than a
// quarter of what phones reached on two busy cores (see DEVELOPERS.md).
const collapsed = 25.0

// TestLoadIsMeasured plays a few phones and reads what was printed.
func TestLoadIsMeasured(t *testing.T) {
	var out bytes.Buffer
	profile := filepath.Join(t.TempDir(), "profile")
	// Guests think, so that plates stand long enough to be set down.
	o := options{phones: 24, boards: 12, floor: 1, times: 2, think: 250 * time.Millisecond, limit: time.Minute,
		profile: profile}
	if err := run(t.Context(), o, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`answers alone.*\nsubmissions +192 taken in `, `submissions/s +[1-9]`, `bare commits/s +[1-9]`,
		`submission +p50 \S+m?s, p95 \S+s, p99 \S+s`, `any request +p50`, `processor +\d`, `time-outs +0 `,
		`(?s)(time-outs +0 .*){4}`, `(?s)whole sittings\n.*whole sittings, with 12 viewers of the board\n`,
		`(?s)with 12 viewers of the board and 1 of the floor\n`, `(?s)(of that without them +[1-9].*){2}`,
		`phones and viewers [\d.]+ ms beside it`, `by its processor +[1-9]\d* submissions/s at most, \d+ % of the bare`,
		`board +sent [1-9]\d+ times\n`, `plates set down +[1-9]`,
		`(?s)(refused, broken off +0 .*){4}`, `(?s)(lost, doubled +0, 0 of [1-9].*){4}`,
	} {
		if !regexp.MustCompile(want).MatchString(out.String()) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
	for _, name := range []string{"answers-1", "answers-2", "whole-1", "boards-1", "floor-1", "floor-2"} {
		if at, err := os.Stat(profile + "-" + name); err != nil || at.Size() == 0 {
			t.Errorf("the profile of %s: %v", name, err)
		}
	}
	share := regexp.MustCompile(`of the bare rate +([\d.]+)`).FindStringSubmatch(out.String())
	if got, err := strconv.ParseFloat(share[1], 64); err != nil || got < collapsed {
		t.Errorf("answers alone come in at %s %% of the bare rate, want at least %.0f: what became slow?", share[1],
			collapsed)
	}
}

// TestPagesAmongStudiesAreMeasured opens each page among a few studies.
func TestPagesAmongStudiesAreMeasured(t *testing.T) {
	var out bytes.Buffer
	if err := run(t.Context(), options{studies: 3}, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`(?m)^3 studies, whose verdicts were found`, `(?m)^library +p50 \d`,
		`library, searched +p50 \d`, `board +p50 \d`, `ballot +p50 \d`} {
		if !regexp.MustCompile(want).MatchString(out.String()) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
}

func TestLoadIsBounded(t *testing.T) {
	for _, args := range []string{"--phones 0", "--phones 2001", "--limit 11m", "--boards 51", "--boards -1",
		"--limit -1s", "--think -1s", "--think 61s", "--floor 21", "--floor -1", "--studies 2001", "--studies -1",
		"--times 0", "--times 11",
		"elsewhere.example",
		"--database postgres://u@db.example.org/x", "--database postgres://u@10.0.0.1/x", "--database file.db"} {
		if _, err := parse(strings.Fields(args), io.Discard); err == nil {
			t.Errorf("%s is taken", args)
		}
	}
	for _, args := range []string{"", "--database postgres://u@127.0.0.1:5432/x",
		"--database postgres://u@localhost/x"} {
		if o, err := parse(strings.Fields(args), io.Discard); err != nil || o.phones != 200 || o.boards != 0 {
			t.Errorf("%q: %+v, %v", args, o, err)
		}
	}
}

// TestLostAnswersAreCounted tells a phone more, and other, than was kept.
func TestLostAnswersAreCounted(t *testing.T) {
	dsn, drop, err := freshDatabase(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = drop() }()
	if _, err := openTasting(t.Context(), dsn, 1, true); err != nil {
		t.Fatal(err)
	}
	m := measured{told: map[string]map[string]string{"a turn": {"a1": "5", "a2": "3"}}}
	// What was sent later and may be kept excuses nothing that is not.
	m.unheard = map[string][]map[string]string{"a turn": {{"a1": "6", "a2": "3"}}}
	if err := m.countKept(t.Context(), dsn); err != nil || m.lost != 1 || m.doubled != 0 {
		t.Errorf("%d lost, %d doubled, %v; want 1 lost", m.lost, m.doubled, err)
	}
}

func TestPercentiles(t *testing.T) {
	var took []time.Duration
	for ms := 200; ms > 0; ms-- {
		took = append(took, time.Duration(ms)*time.Millisecond)
	}
	if got, want := percentiles(took), "p50 100ms, p95 190ms, p99 198ms, longest 200ms"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got, want := percentiles(took[:1]), "p50 200ms, p95 200ms, p99 200ms, longest 200ms"; got != want {
		t.Errorf("of one: got %q, want %q", got, want)
	}
	if got := percentiles(nil); got != "none" {
		t.Errorf("of none: %q", got)
	}
}
