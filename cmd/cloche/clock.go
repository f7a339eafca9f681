package main

import (
	"context"
	"log/slog"
	"time"
)

const (
	clockEvery = 10 * time.Second // how often the clock is looked at
	clockSet   = 2 * time.Second  // it drifts by less between two looks
)

// started is what time passed since by the machine's steady clock, which nobody sets.
var started = time.Now()

// readClock reads the clock that people set, and the steady one.
func readClock() (set time.Time, steady time.Duration) {
	now := time.Now()
	return now.Round(0), now.Sub(started)
}

// watchClock says in the log when the clock was set while the service runs, until ctx ends.
// Answers are ordered by what phones count and not by times, so that nothing else has to be done;
// but times in the data jump there.
func watchClock(ctx context.Context, log *slog.Logger, every time.Duration,
	read func() (set time.Time, steady time.Duration)) {
	before, ran := read()
	for pauseUntil(ctx, time.Now().Add(every)) {
		now, runs := read()
		by := now.Sub(before) - (runs - ran)
		how := "forward"
		if by < 0 {
			how = "back"
		}
		if by.Abs() > clockSet {
			log.Warn("the clock was set "+how+", or the machine slept: times in the data jump here, answers are "+
				"in order",
				slog.Duration("by", by.Abs().Round(time.Second)))
		}
		before, ran = now, runs
	}
}
