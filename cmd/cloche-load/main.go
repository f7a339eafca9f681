// Command cloche-load measures how many submissions a second the service takes on
// this machine. It runs the whole service as a process of its own on a temporary
// database and plays phones against it, in rounds, each on a fresh database:
//
//   - answers alone: phones that answered everything without network and send it all at
//     once, as after an hour in the cellar;
//   - whole sittings: phones that join, consent, read the page and its files, hold the
//     turns to come, answer, lose the network in the middle of sending and send again,
//     send twice, correct, and leave;
//   - with --boards whole sittings once more while the board is watched, and with --floor once more
//     while floor sets plates down as well.
//
// With --times each round is played so often, in turn, since a machine's speed varies.
// After each round it reads the database: whatever a phone was told is kept has to be there,
// once. Then it commits the same rows one by one with the bare driver: what the disk allows,
// and how much of that the service reaches. With --studies it measures instead how long pages
// take when a database holds ever more studies. It listens on loopback alone and ends by itself.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"time"
)

const (
	maxPhones  = 2000
	maxStudies = 2000
	maxTimes   = 10
	maxBoards  = 50
	maxFloor   = 20
	maxThink   = time.Minute
	maxLimit   = 10 * time.Minute
)

// options are the flags.
type options struct {
	phones   int
	boards   int           // viewers of the live board in a round more
	floor    int           // people of the floor at work in the last round, beside those viewers
	studies  int           // in one database, for how long pages take; 0 = phones are played
	times    int           // that each round is played
	think    time.Duration // that a guest takes over a page, on average
	limit    time.Duration // after which the phones of a round stop
	database string        // address of a PostgreSQL server on this machine; "" = a SQLite file
	profile  string        // file for a profile of the service's processor; "" = none
}

func main() {
	if os.Getenv(asService) != "" {
		if err := serveAlone(); err != nil {
			fmt.Fprintf(os.Stderr, "cloche-load, the service: %v\n", err)
			os.Exit(1)
		}
		return
	}
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
	flags.IntVar(&o.phones, "phones", 200, fmt.Sprintf("how many phones taste at once, 1 to %d", maxPhones))
	flags.IntVar(&o.boards, "boards", 0,
		fmt.Sprintf("in a round more, so many viewers of the live board, 0 to %d", maxBoards))
	flags.IntVar(&o.floor, "floor", 0,
		fmt.Sprintf("in the last round, so many of the floor at work beside those viewers, 0 to %d", maxFloor))
	flags.IntVar(&o.studies, "studies", 0,
		fmt.Sprintf("instead of phones: pages in a database of so many studies, 0 to %d", maxStudies))
	flags.IntVar(&o.times, "times", 1, fmt.Sprintf("how often each round is played, in turn, 1 to %d", maxTimes))
	flags.DurationVar(&o.think, "think", 0,
		fmt.Sprintf("how long a guest takes over a page, on average, at most %s", maxThink))
	flags.DurationVar(&o.limit, "limit", 2*time.Minute,
		fmt.Sprintf("when the phones of a round stop at the latest, at most %s", maxLimit))
	flags.StringVar(&o.database, "database", "",
		"address of a PostgreSQL server on this machine on which databases may be made (default: SQLite files)")
	flags.StringVar(&o.profile, "profile", "",
		"write profiles of the service's processor to files that begin so, for “go tool pprof”")
	if err := flags.Parse(args); err != nil {
		return o, err
	}
	if flags.NArg() > 0 || !o.bounded() {
		flags.Usage()
		return o, errFlags
	}
	return o, nil
}

func (o options) bounded() bool {
	return o.phones >= 1 && o.phones <= maxPhones && o.limit > 0 && o.limit <= maxLimit && o.think >= 0 &&
		o.think <= maxThink && o.boards >= 0 && o.boards <= maxBoards && o.floor >= 0 && o.floor <= maxFloor &&
		o.times >= 1 && o.times <= maxTimes &&
		o.studies >= 0 && o.studies <= maxStudies && (o.database == "" || onLoopback(o.database))
}

// run plays the rounds, as often as asked, in turn, and prints what was found.
func run(ctx context.Context, o options, out io.Writer) error {
	if o.studies > 0 {
		return amongStudies(ctx, o, out)
	}
	fmt.Fprintf(out, "%d phones, %s\n", o.phones, o.words())
	if o.times > 1 {
		fmt.Fprintf(out, "each round %d times, in turn; what follows is of all of them\n", o.times)
	}
	all := rounds(o)
	played := make([]measured, len(all))
	for turn := range max(o.times, 1) {
		for i, r := range all {
			m, err := r.play(ctx, o, turn+1)
			if err != nil {
				return fmt.Errorf("%s: %w", r.name, err)
			}
			played[i].add(m)
		}
	}
	for i, r := range all {
		if err := report(out, r, played[i], played[0]); err != nil {
			return err
		}
		if r.boards+r.floor > 0 {
			if err := reportBeside(out, r, played[i], played[1]); err != nil {
				return err
			}
		}
	}
	return nil
}

// rounds are those that options ask for: answers alone first, then whole sittings with nobody else,
// with viewers of the board, and with floor as well.
func rounds(o options) []round {
	all := []round{{name: "answers alone: phones that send all they hold", file: "answers", alone: true},
		{name: "whole sittings", file: "whole", think: o.think}}
	if o.boards > 0 {
		all = append(all, round{name: fmt.Sprintf("whole sittings, with %d viewers of the board", o.boards),
			file: "boards", think: o.think, boards: o.boards})
	}
	if o.floor > 0 {
		all = append(all, round{name: fmt.Sprintf("whole sittings, with %d viewers of the board and %d of the floor",
			o.boards, o.floor), file: "floor", think: o.think, boards: o.boards, floor: o.floor})
	}
	return all
}

// words say on which database and how fast.
func (o options) words() string {
	on, pace := "SQLite", "which wait for nothing"
	if o.database != "" {
		on = "PostgreSQL"
	}
	if o.think > 0 {
		pace = fmt.Sprintf("whose guests think for %s a page", o.think)
	}
	return pace + ", on " + on
}

// report prints a round; answers alone, of which the bare rate was taken, are the first.
func report(out io.Writer, r round, m, first measured) error {
	taken := max(len(m.submissions), 1)
	_, err := fmt.Fprintf(out, "\n%s\n"+
		"submissions          %d taken in %.1f s\n"+
		"submissions/s        %.0f\n"+
		"bare commits/s       %.0f (the same rows, one durable commit each, one after another)\n"+
		"of the bare rate     %.1f %%\n"+
		"submission           %s\n"+
		"any request          %s\n"+
		"processor            %.2f ms a submission, of the service alone; phones and viewers %.2f ms beside it\n"+
		"by its processor     %.0f submissions/s at most, %.0f %% of the bare rate, "+
		"had it these %d cores to itself (reckoned)\n"+
		"memory               %s at most, of the service alone\n"+
		"time-outs            %d (no answer within %s, as on the phone)\n"+
		"refused, broken off  %d (%d more were broken off on purpose, and sent again)\n"+
		"lost, doubled        %d, %d of %d that phones were told are kept\n",
		r.name, len(m.submissions), m.took.Seconds(), m.rate(), first.bareRate(), 100*m.rate()/first.bareRate(),
		percentiles(m.submissions), percentiles(m.requests),
		1000*m.processor.Seconds()/float64(taken), 1000*m.beside.Seconds()/float64(taken),
		m.byProcessor(), 100*m.byProcessor()/first.bareRate(), runtime.NumCPU(), mebibytes(m.memory),
		m.timeouts, patience, m.failures, m.cut, m.lost, m.doubled, m.toldOf)
	return err
}

// reportBeside prints what viewers and floor saw, and what they cost guests: without them the same
// sittings were alone.
func reportBeside(out io.Writer, r round, m, alone measured) error {
	_, err := fmt.Fprintf(out, "of that without them %.1f %% of the submissions/s\n", 100*m.rate()/alone.rate())
	if err == nil && r.boards > 0 {
		_, err = fmt.Fprintf(out, "board                sent %d times\n", m.boards)
	}
	if err == nil && r.floor > 0 {
		_, err = fmt.Fprintf(out, "plates set down      %d\n", m.plates)
	}
	return err
}

func mebibytes(bytes int64) string {
	if bytes == 0 {
		return "not known on this system"
	}
	return fmt.Sprintf("%.0f MiB", float64(bytes)/(1<<20))
}
