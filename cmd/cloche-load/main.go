// Command cloche-load measures how many submissions a second the service takes on
// this machine. It runs the whole service on a temporary database, plays phones
// that wait for nothing against it, and then commits the same rows one by one with
// the bare driver of the database: what the disk allows, and how much of that the
// service reaches. It listens on loopback alone and ends by itself.
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
	flags.DurationVar(&o.limit, "limit", 2*time.Minute,
		fmt.Sprintf("when phones stop at the latest, at most %s", maxLimit))
	flags.StringVar(&o.profile, "profile", "", "write a profile of the processor to this file, for “go tool pprof”")
	if err := flags.Parse(args); err != nil {
		return o, err
	}
	if flags.NArg() > 0 || o.phones < 1 || o.phones > maxPhones || o.limit <= 0 || o.limit > maxLimit {
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
	measured, err := measureService(ctx, o, file)
	if err != nil {
		return fmt.Errorf("play phones: %w", err)
	}
	bare, err := measureBare(ctx, file, filepath.Join(folder, "bare.db"))
	if err != nil {
		return fmt.Errorf("commit with the bare driver: %w", err)
	}
	return report(out, o, measured, bare)
}

func measureService(ctx context.Context, o options, file string) (measured, error) {
	t, err := openTasting(ctx, file, o.phones)
	if err != nil {
		return measured{}, err
	}
	defer t.close()
	if o.profile != "" {
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
	before := processorTime()
	m := t.play(ctx)
	m.processor = processorTime() - before
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
