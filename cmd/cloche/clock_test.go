package main

import (
	"context"
	"log/slog"
	"strings"
	"testing"
	"time"
)

// TestClockThatIsSetIsLogged sets the clock forward and back beside a steady one: each has its line,
// and an hour that passes on both has none.
func TestClockThatIsSetIsLogged(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	var log lines
	set := time.Date(2026, 10, 25, 20, 0, 0, 0, time.UTC)
	looks := []struct{ set, steady time.Duration }{{}, {time.Hour, time.Hour}, {4 * time.Hour, time.Hour},
		{2 * time.Hour, time.Hour}, {2*time.Hour + time.Second, time.Hour}}
	n := 0
	watchClock(ctx, slog.New(slog.NewTextHandler(&log, nil)), time.Microsecond, func() (time.Time, time.Duration) {
		x := looks[n]
		if n++; n == len(looks) {
			stop()
		}
		return set.Add(x.set), x.steady
	})
	said := log.String()
	if !strings.Contains(said, "set forward") || !strings.Contains(said, "by=3h0m0s") ||
		!strings.Contains(said, "set back") || !strings.Contains(said, "by=2h0m0s") || strings.Count(said, "\n") != 2 {
		t.Errorf("the log says %q; want a line for 3 hours forward and one for 2 hours back", said)
	}
}
