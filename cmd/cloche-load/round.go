package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
)

// round is one measurement on a fresh database.
type round struct {
	name   string
	file   string // of its profile, in a word
	alone  bool   // phones are seated before, and send answers alone
	think  time.Duration
	boards int
	floor  int
}

// measured is what phones saw, and what the service used for it.
type measured struct {
	took        time.Duration
	processor   time.Duration   // of the service
	beside      time.Duration   // of the processor, that phones and viewers used
	memory      int64           // of the service, the most that it held, in bytes; 0 = not known
	submissions []time.Duration // how long each took that was taken
	requests    []time.Duration // the same of every request that was answered
	timeouts    int
	cut         int   // requests broken off on purpose
	failures    int   // answers other than expected, and connections that broke
	boards      int64 // how often the board was sent to those who watch it
	plates      int64 // that floor set down

	told          map[string]map[string]string   // what phones were told is kept: by turn and field
	unheard       map[string][]map[string]string // what was sent since for a turn and may be kept: nobody heard
	toldOf        int                            // turns, of all rounds of the kind
	lost, doubled int                            // of those

	bareCommits int // with the driver alone; 0 = not measured
	bareTook    time.Duration
}

// play opens a tasting, lets everybody at it at once, and counts what is kept; turn counts from 1.
func (r round) play(ctx context.Context, o options, turn int) (m measured, err error) {
	dsn, drop, err := freshDatabase(ctx, o.database)
	if err != nil {
		return measured{}, err
	}
	defer func() { err = errors.Join(err, drop()) }()
	t, err := openTasting(ctx, dsn, o.phones, r.alone)
	if err != nil {
		return measured{}, err
	}
	profile := ""
	if o.profile != "" {
		profile = fmt.Sprintf("%s-%s-%d", o.profile, r.file, turn)
	}
	s, err := startService(dsn, profile)
	if err != nil {
		return measured{}, err
	}
	t.url = s.url
	m, err = r.measure(ctx, o, t, s)
	if err = errors.Join(err, s.end()); err != nil {
		return measured{}, err
	}
	if err := m.countKept(ctx, dsn); err != nil {
		return measured{}, fmt.Errorf("read what is kept: %w", err)
	}
	if r.alone {
		if m.bareCommits, m.bareTook, err = measureBare(ctx, dsn); err != nil {
			return measured{}, fmt.Errorf("commit with the bare driver: %w", err)
		}
	}
	return m, nil
}

// add puts what one more of the same round measured to what is known.
func (m *measured) add(x measured) {
	m.took += x.took
	m.processor += x.processor
	m.beside += x.beside
	m.memory = max(m.memory, x.memory)
	m.submissions = append(m.submissions, x.submissions...)
	m.requests = append(m.requests, x.requests...)
	m.timeouts += x.timeouts
	m.cut += x.cut
	m.failures += x.failures
	m.boards += x.boards
	m.plates += x.plates
	m.toldOf += len(x.told)
	m.lost += x.lost
	m.doubled += x.doubled
	m.bareCommits += x.bareCommits
	m.bareTook += x.bareTook
}

// rate is how many submissions a second were taken.
func (m measured) rate() float64 { return float64(len(m.submissions)) / m.took.Seconds() }

// byProcessor is how many submissions a second the service could take at most by the processor that it used,
// had it all cores of this machine to itself: phones, which play on the same cores here, are elsewhere then.
func (m measured) byProcessor() float64 {
	if m.processor <= 0 { // not known on this system, or too short to be counted
		return 0
	}
	return float64(len(m.submissions)) / m.processor.Seconds() * float64(runtime.NumCPU())
}

// bareRate is how many commits a second the driver alone reached.
func (m measured) bareRate() float64 { return float64(m.bareCommits) / m.bareTook.Seconds() }

// measure lets all phones go and waits for them, while the board is watched and floor works.
func (r round) measure(ctx context.Context, o options, t *tasting, s *service) (measured, error) {
	ctx, cancel := context.WithTimeout(ctx, o.limit)
	defer cancel()
	watched, err := t.watch(ctx, r.boards)
	if err != nil {
		return measured{}, err
	}
	defer watched.end()
	working, err := t.work(ctx, r.floor)
	if err != nil {
		return measured{}, err
	}
	defer working.end()
	before, own := s.processor(), ownProcessor()
	all := newPhones(t, o.phones, r.think)
	begun := time.Now()
	var wait sync.WaitGroup
	for n := range o.phones {
		wait.Go(func() {
			if r.alone {
				all.sendAll(ctx, n)
				return
			}
			all.taste(ctx, n)
		})
	}
	wait.Wait()
	m := all.measured
	m.took = time.Since(begun)
	m.processor, m.beside, m.memory = s.processor()-before, ownProcessor()-own, s.memory()
	m.boards, m.plates = watched.events.Load(), working.plates.Load()
	return m, nil
}

// freshDatabase makes an empty database that drop removes: a file, or one on a server.
func freshDatabase(ctx context.Context, server string) (dsn string, drop func() error, err error) {
	if server == "" {
		folder, err := os.MkdirTemp("", "cloche-load-")
		return filepath.Join(folder, "service.db"), func() error { return os.RemoveAll(folder) }, err
	}
	address, err := url.Parse(server)
	if err != nil {
		return "", nil, err
	}
	name := "cloche_load_" + strings.ToLower(rand.Text())
	if err := onServer(ctx, server, "CREATE DATABASE "+name); err != nil {
		return "", nil, err
	}
	address.Path = "/" + name
	return address.String(), func() error {
		return onServer(context.WithoutCancel(ctx), server, "DROP DATABASE "+name+" WITH (FORCE)")
	}, nil
}

func onServer(ctx context.Context, server, statement string) error {
	c, err := pgx.Connect(ctx, server)
	if err != nil {
		return err
	}
	_, err = c.Exec(ctx, statement)
	return errors.Join(err, c.Close(ctx))
}

// onLoopback tells whether a server is on this machine: load is not played at others'.
func onLoopback(server string) bool {
	address, err := url.Parse(server)
	if err != nil || address.Scheme != "postgres" && address.Scheme != "postgresql" {
		return false
	}
	ip := net.ParseIP(address.Hostname())
	return address.Hostname() == "localhost" || ip != nil && ip.IsLoopback()
}
