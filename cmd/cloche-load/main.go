// Command cloche-load measures how many submissions a second the service takes on
// this machine. It runs the whole service on a temporary database, plays phones
// that wait for nothing against it, and then commits the same rows one by one with
// the bare driver of the database: what the disk allows, and how much of that the
// service reaches. With --boards it measures a second time, while as many viewers hold
// the live board open. It listens on loopback alone and ends by itself.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/pprof"
	"syscall"
	"time"
)

const (
	maxPhones = 2000
	maxLimit  = 10 * time.Minute
)

// options are the flags.
type options struct {
	phones  int
	boards  int           // viewers of the live board in a second measurement; 0 = none is made
	limit   time.Duration // after which phones stop
	profile string        // file for a profile of the processor; "" = none
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	o, err := parse(os.Args[1:], os.Stderr)
	if err != nil {
		os.Exit(2)
	}
	if err := run(ctx, o, os.Stdout); err != nil {
		fmt.Fprintf(os.Stderr, "cloche-load: %v\n", err)
		os.Exit(1)
	}
}

var errFlags = errors.New("the command line is wrong")

func parse(args []string, stderr io.Writer) (o options, err error) {
	flags := flag.NewFlagSet("cloche-load", flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.IntVar(&o.phones, "phones", 200, fmt.Sprintf("how many phones send at once, 1 to %d", maxPhones))
	flags.IntVar(&o.boards, "boards", 0,
		fmt.Sprintf("measure again with so many viewers of the live board, 0 to %d", maxBoards))
	flags.DurationVar(&o.limit, "limit", 2*time.Minute,
		fmt.Sprintf("when phones stop at the latest, at most %s", maxLimit))
	flags.StringVar(&o.profile, "profile", "", "write a profile of the processor to this file, for “go tool pprof”")
	if err := flags.Parse(args); err != nil {
		return o, err
	}
	if flags.NArg() > 0 || o.phones < 1 || o.phones > maxPhones || o.limit <= 0 || o.limit > maxLimit ||
		o.boards < 0 || o.boards > maxBoards {
		flags.Usage()
		return o, errFlags
	}
	return o, nil
}

// run measures once and prints what was found.
func run(ctx context.Context, o options, out io.Writer) error {
	folder, err := os.MkdirTemp("", "cloche-load-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "service.db")
	without, err := measureService(ctx, o, 0, file)
	if err != nil {
		return fmt.Errorf("play phones: %w", err)
	}
	bare, err := measureBare(ctx, file, filepath.Join(folder, "bare.db"))
	if err != nil {
		return fmt.Errorf("commit with the bare driver: %w", err)
	}
	if err := report(out, o, without, bare); err != nil || o.boards == 0 {
		return err
	}
	with, err := measureService(ctx, o, o.boards, filepath.Join(folder, "watched.db"))
	if err != nil {
		return fmt.Errorf("play phones while the board is watched: %w", err)
	}
	return reportWatched(out, o, with)
}

// measureService plays phones while so many viewers watch the board. Only the first
// measurement of a run is profiled.
func measureService(ctx context.Context, o options, viewers int, file string) (measured, error) {
	t, err := openTasting(ctx, file, o.phones)
	if err != nil {
		return measured{}, err
	}
	defer t.close()
	if o.profile != "" && viewers == 0 {
		to, err := os.Create(o.profile)
		if err != nil {
			return measured{}, err
		}
		defer to.Close()
		if err := pprof.StartCPUProfile(to); err != nil {
			return measured{}, err
		}
		defer pprof.StopCPUProfile()
	}
	ctx, cancel := context.WithTimeout(ctx, o.limit)
	defer cancel()
	watched, err := t.watch(ctx, viewers)
	if err != nil {
		return measured{}, err
	}
	defer watched.end()
	before := processorTime()
	m := t.play(ctx)
	m.processor, m.boards = processorTime()-before, watched.events.Load()
	return m, nil
}

// processorTime is what this process has used of the processors.
func processorTime() time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

func report(out io.Writer, o options, m measured, bare float64) error {
	taken := max(len(m.submissions), 1)
	rate := float64(len(m.submissions)) / m.took.Seconds()
	_, err := fmt.Fprintf(out, "phones               %d, which wait for nothing\n"+
		"submissions          %d of %d in %.1f s\n"+
		"submissions/s        %.0f\n"+
		"bare commits/s       %.0f (the same rows, one durable commit each, one after another)\n"+
		"of the bare rate     %.1f %%\n"+
		"submission           %s\n"+
		"any request          %s\n"+
		"processor            %.1f ms a submission, phones included\n"+
		"time-outs            %d (no answer within %s, as on the phone)\n"+
		"refused, broken off  %d\n",
		o.phones, len(m.submissions), o.phones*servingsEach, m.took.Seconds(), rate, bare, 100*rate/bare,
		percentiles(m.submissions), percentiles(m.requests),
		1000*m.processor.Seconds()/float64(taken), m.timeouts, patience, m.failures)
	return err
}

// reportWatched prints what phones saw while the board was watched.
func reportWatched(out io.Writer, o options, m measured) error {
	_, err := fmt.Fprintf(out, "\nthe same with %d viewers of the board, who were sent it %d times\n"+
		"submissions          %d of %d in %.1f s\n"+
		"submissions/s        %.0f\n"+
		"submission           %s\n"+
		"any request          %s\n"+
		"time-outs            %d\n"+
		"refused, broken off  %d\n",
		o.boards, m.boards, len(m.submissions), o.phones*servingsEach, m.took.Seconds(),
		float64(len(m.submissions))/m.took.Seconds(), percentiles(m.submissions), percentiles(m.requests),
		m.timeouts, m.failures)
	return err
}
