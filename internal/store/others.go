package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"log/slog"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"cloche/internal/panel"
)

const (
	othersChannel = "cloche" // of LISTEN and NOTIFY, in this database alone
	// othersEvery is how often messages are sent, at most: commits that notify wait for each
	// other in the whole server (PostgreSQL 15 documentation, "NOTIFY"), so that no
	// submission notifies in its own, and many of one evening go together.
	othersEvery = 50 * time.Millisecond
	othersAgain = 500 * time.Millisecond // after something went wrong
	// othersLongest is how long a message may be, in bytes: below 8000 (as above).
	othersLongest = 7500
	maxUntold     = 10_000 // messages, while the server is away
)

// others are the services that share a PostgreSQL database, who hear each other by LISTEN
// and NOTIFY.
type others struct {
	pool   *sql.DB
	config *pgx.ConnConfig
	own    string // this service among them

	mu      sync.Mutex
	waiting map[string]bool
	order   []string
	fresh   chan struct{} // holds one while something waits

	closed chan struct{}
	wait   sync.WaitGroup
}

// envelope is what is sent at once.
type envelope struct {
	From     string
	Messages []json.RawMessage
}

// Others are the services that share the database; nil for SQLite, where one service has
// its file. They are told until the store is closed.
func (s *Store) Others() panel.Others {
	if s.others == nil {
		return nil
	}
	return s.others
}

func newOthers(pool *sql.DB, config *pgx.ConnConfig, own string) *others {
	o := &others{pool: pool, config: config, own: own, waiting: map[string]bool{}, fresh: make(chan struct{}, 1),
		closed: make(chan struct{})}
	ctx := o.untilClosed(context.Background())
	o.wait.Go(func() { o.send(ctx) })
	return o
}

func (o *others) close() {
	close(o.closed)
	o.wait.Wait()
}

// untilClosed ends with ctx or with the store.
func (o *others) untilClosed(ctx context.Context) context.Context {
	ctx, cancel := context.WithCancel(ctx)
	o.wait.Go(func() {
		defer cancel()
		select {
		case <-o.closed:
		case <-ctx.Done():
		}
	})
	return ctx
}

// Tell sends a message soon, together with others; one that waits already says the same.
func (o *others) Tell(message []byte) {
	o.mu.Lock()
	defer o.mu.Unlock()
	text := string(message)
	if o.waiting[text] || len(o.order) >= maxUntold || len(text) > othersLongest/2 {
		return
	}
	o.waiting[text] = true
	o.order = append(o.order, text)
	select {
	case o.fresh <- struct{}{}:
	default:
	}
}

// send sends what waits, until ctx ends.
func (o *others) send(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-o.fresh:
		}
		for _, text := range o.envelopes() {
			for o.notify(ctx, text) != nil && rest(ctx, othersAgain) {
			}
		}
		if !rest(ctx, othersEvery) {
			return
		}
	}
}

// notify sends one envelope. It takes its turn like everybody, but may not hold it long.
func (o *others) notify(ctx context.Context, text string) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	_, err := o.pool.ExecContext(ctx, "SELECT pg_notify($1, $2)", othersChannel, text)
	return err
}

// envelopes packs what waits, each short enough.
func (o *others) envelopes() (all []string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for len(o.order) > 0 {
		e, length := envelope{From: o.own}, 0
		for len(o.order) > 0 && length+len(o.order[0]) < othersLongest-200 {
			e.Messages = append(e.Messages, json.RawMessage(o.order[0]))
			length += len(o.order[0]) + 1
			o.order = o.order[1:]
		}
		if text, err := json.Marshal(e); err == nil {
			all = append(all, string(text))
		}
	}
	clear(o.waiting)
	return all
}

// Hear listens on a connection of its own until ctx or the store ends. It returns when it
// listens, so that nothing is missed from then on, or when the server does not answer: then
// it goes on trying.
func (o *others) Hear(ctx context.Context, heard func(message []byte)) {
	ctx = o.untilClosed(ctx)
	listening := make(chan struct{})
	o.wait.Go(func() {
		told := sync.OnceFunc(func() { close(listening) })
		for {
			err := o.listen(ctx, func() { told(); heard(nil) }, heard)
			told()
			if ctx.Err() != nil {
				return
			}
			slog.Warn("other services on this database are not heard for a moment", slog.Any("error", err))
			if !rest(ctx, othersAgain) {
				return
			}
		}
	})
	<-listening
}

// listen calls back with what others tell, until something goes wrong.
func (o *others) listen(ctx context.Context, begun func(), heard func(message []byte)) error {
	c, err := pgx.ConnectConfig(ctx, o.config)
	if err != nil {
		return err
	}
	defer func() { _ = c.Close(context.WithoutCancel(ctx)) }() // nothing is lost with it
	if _, err := c.Exec(ctx, "LISTEN "+othersChannel); err != nil {
		return err
	}
	begun()
	for {
		n, err := c.WaitForNotification(ctx)
		if err != nil {
			return err
		}
		var e envelope
		if err := json.Unmarshal([]byte(n.Payload), &e); err != nil || e.From == o.own {
			continue
		}
		for _, m := range e.Messages {
			heard(m)
		}
	}
}

// rest waits for a while; false when ctx ended first.
func rest(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-timer.C:
		return true
	}
}
