package main

import (
	"bytes"
	"io"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// TestLoadIsMeasured plays a few phones and reads what was printed.
func TestLoadIsMeasured(t *testing.T) {
	var out bytes.Buffer
	profile := filepath.Join(t.TempDir(), "profile")
	if err := run(t.Context(), options{phones: 5, boards: 12, limit: time.Minute, profile: profile}, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`submissions +20 of 20 in `, `submissions/s +[1-9]`, `bare commits/s +[1-9]`, `of the bare rate +\d`,
		`submission +p50 \S+m?s, p95 \S+s, p99 \S+s`, `any request +p50`, `processor +\d`, `time-outs +0 `,
		`refused, broken off +0\n`, `with 12 viewers of the board, who were sent it [1-9]\d+ times\n`,
		`(?s)viewers.*submissions +20 of 20 in .*submission +p50 \S+m?s, p95 \S+s, p99 .*time-outs +0\n`,
	} {
		if !regexp.MustCompile(want).MatchString(out.String()) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
}

func TestLoadIsBounded(t *testing.T) {
	for _, args := range []string{"--phones 0", "--phones 2001", "--limit 11m", "--boards 51", "--boards -1",
		"--limit -1s", "elsewhere.example"} {
		if _, err := parse(strings.Fields(args), io.Discard); err == nil {
			t.Errorf("%s is taken", args)
		}
	}
	if o, err := parse(nil, io.Discard); err != nil || o.phones != 200 || o.boards != 0 {
		t.Errorf("without flags: %+v, %v", o, err)
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
