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
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
)

// round is one measurement on a fresh database.
type round struct {
	name   string
	alone  bool // phones are seated before, and send answers alone
	think  time.Duration
	boards int
	floor  int
}

// measured is what phones saw, and what the service used for it.
type measured struct {
	took        time.Duration
	processor   time.Duration   // of the service
	memory      int64           // of the service, the most that it held, in bytes; 0 = not known
	submissions []time.Duration // how long each took that was taken
	requests    []time.Duration // the same of every request that was answered
	timeouts    int
	cut         int   // requests broken off on purpose
	failures    int   // answers other than expected, and connections that broke
	boards      int64 // how often the board was sent to those who watch it
	plates      int64 // that floor set down

	told          map[string]map[string]string // what phones were told is kept: by turn and field
	lost, doubled int                          // of that
	bare          float64                      // commits a second with the driver alone; 0 = not measured
}

// play opens a tasting, lets everybody at it at once, and counts what is kept.
func (r round) play(ctx context.Context, o options, bare bool) (m measured, err error) {
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
		profile = fmt.Sprintf("%s-%s", o.profile, strings.Fields(r.name)[0])
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
	if bare {
		if m.bare, err = measureBare(ctx, dsn); err != nil {
			return measured{}, fmt.Errorf("commit with the bare driver: %w", err)
		}
	}
	return m, nil
}

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
	before := s.processor()
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
	m.processor, m.memory = s.processor()-before, s.memory()
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
