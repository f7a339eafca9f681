package panel

import (
	"context"
	"errors"
	"net/netip"
	"sync"
	"time"
)

// guessLimiter slows down guessing of passwords and codes: after each wrong one the
// next try from the same address has to wait twice as long, from 1 s up to 1 min.
type guessLimiter struct {
	now  func() time.Time
	tell func(wrong, right string) // tells the other services of a guess

	mu      sync.Mutex
	tries   map[string]try
	judging map[string]chan struct{} // addresses of which a guess is being judged

	hashes chan struct{} // one for each hash that is computed now
	queue  chan struct{} // one for each guess that waits for its hash, and those computed
}

// errWrong is a wrong guess; who calls says what was guessed at.
var errWrong = errors.New("wrong guess")

type try struct {
	wrong int
	until time.Time
}

const (
	// maxTries bounds the memory that strangers can take.
	maxTries = 10_000
	// forgetAfter is how long after its wait a wrong guess is remembered.
	forgetAfter = 10 * time.Minute
	// ownTries is how many wrong guesses an address has at a link before it also has
	// to wait for the wrong guesses of others there: whoever has the link cannot keep
	// out the staff, who rarely need more, and many addresses do not guess much faster
	// than one.
	ownTries = 3
	// maxHashes is how many password hashes are computed at once, and maxQueue how many
	// may wait: hashing is dear on purpose, and guests need the processor.
	maxHashes, maxQueue = 2, 16
)

func newGuessLimiter(now func() time.Time) *guessLimiter {
	return &guessLimiter{
		now: now, tell: func(string, string) {}, tries: map[string]try{}, judging: map[string]chan struct{}{},
		hashes: make(chan struct{}, maxHashes), queue: make(chan struct{}, maxQueue),
	}
}

// attempt lets one guess through and judges it. Guesses of one address come one
// after another: of many at once the first is judged, and when it is wrong the others
// have to wait like any later one. link is what is guessed at besides, when others
// guess at the same; "" for nothing. [ErrSlowDown] when the guess was not looked at,
// [errWrong] when it is wrong.
func (d *guessLimiter) attempt(ctx context.Context, address, link string, right func() (bool, error)) error {
	address = network(address)
	if err := d.enter(ctx, address, link); err != nil {
		return err
	}
	defer d.leave(address)
	ok, err := right()
	if err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if ok {
		delete(d.tries, address)
		d.tell("", address)
		return nil
	}
	d.wrong(address)
	d.tell(address, "")
	if link != "" {
		d.wrong(link)
		d.tell(link, "")
	}
	return errWrong
}

// elsewhere counts a guess that another service judged.
func (d *guessLimiter) elsewhere(wrong, right string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if wrong != "" {
		d.wrong(wrong)
	}
	delete(d.tries, right)
}

// leave lets the next guess of an address in.
func (d *guessLimiter) leave(address string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	close(d.judging[address])
	delete(d.judging, address)
}

// enter waits until no other guess of the address is being judged, and admits this
// one when nothing makes it wait.
func (d *guessLimiter) enter(ctx context.Context, address, link string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	for d.judging[address] != nil {
		other := d.judging[address]
		d.mu.Unlock()
		select {
		case <-other:
		case <-ctx.Done():
		}
		d.mu.Lock()
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	now := d.now()
	own := d.tries[address]
	if now.Before(own.until) || link != "" && own.wrong >= ownTries && now.Before(d.tries[link].until) {
		return ErrSlowDown
	}
	d.judging[address] = make(chan struct{})
	return nil
}

// wrong counts a wrong guess; d.mu is held.
func (d *guessLimiter) wrong(key string) {
	now := d.now()
	d.makeRoom(now)
	t := d.tries[key]
	if now.After(t.until.Add(forgetAfter)) {
		t.wrong = 0
	}
	t.until = now.Add(min(time.Second<<min(t.wrong, 6), time.Minute))
	t.wrong++
	d.tries[key] = t
}

// makeRoom forgets what is over or, when that is not enough, anything: a tenth at once, so that
// not every guess of a crowd looks through all.
func (d *guessLimiter) makeRoom(now time.Time) {
	if len(d.tries) < maxTries {
		return
	}
	for k, t := range d.tries {
		if now.After(t.until) {
			delete(d.tries, k)
		}
	}
	for k := range d.tries {
		if len(d.tries) < maxTries*9/10 {
			return
		}
		delete(d.tries, k)
	}
}

// hashing runs f, which computes a password hash, when few others do. [ErrSlowDown]
// when too many wait already.
func (d *guessLimiter) hashing(ctx context.Context, f func()) error {
	select {
	case d.queue <- struct{}{}:
	default:
		return ErrSlowDown
	}
	defer func() { <-d.queue }()
	select {
	case d.hashes <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-d.hashes }()
	f()
	return nil
}

// network is what an address is slowed down as: itself, and for IPv6 the 64 bits that
// name its network, since one device has all the addresses of it.
func network(address string) string {
	a, err := netip.ParseAddr(address)
	if err != nil || a.Unmap().Is4() {
		return address
	}
	p, err := a.WithZone("").Prefix(64)
	if err != nil {
		return address
	}
	return p.String()
}
