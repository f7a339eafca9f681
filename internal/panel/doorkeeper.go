package panel

import (
	"sync"
	"time"
)

// doorkeeper slows down guessing: after each wrong password the next try from
// the same address has to wait twice as long, from 1 s up to 1 min.
type doorkeeper struct {
	guess sync.Mutex // held while a guess is judged
	mu    sync.Mutex
	tries map[string]try
}

type try struct {
	wrong int
	until time.Time
}

// maxTries bounds the memory that strangers can take.
const maxTries = 10_000

func newDoorkeeper() *doorkeeper { return &doorkeeper{tries: map[string]try{}} }

func (d *doorkeeper) admits(from string, now time.Time) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return !now.Before(d.tries[from].until)
}

func (d *doorkeeper) wrong(from string, now time.Time) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.tries) >= maxTries {
		for k, t := range d.tries {
			if now.After(t.until) {
				delete(d.tries, k)
			}
		}
	}
	t := d.tries[from]
	t.until = now.Add(min(time.Second<<min(t.wrong, 6), time.Minute))
	t.wrong++
	d.tries[from] = t
}

func (d *doorkeeper) right(from string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.tries, from)
}

// attempt lets one guess through and judges it. Keys are what is slowed down,
// e.g. the link and the address; a guess is admitted when none of them has to
// wait. Guesses come one after another, so that many at once get no further.
func (d *doorkeeper) attempt(keys []string, now time.Time, right func() bool) error {
	d.guess.Lock()
	defer d.guess.Unlock()
	for _, k := range keys {
		if !d.admits(k, now) {
			return ErrSlowDown
		}
	}
	if right() {
		for _, k := range keys {
			d.right(k)
		}
		return nil
	}
	for _, k := range keys {
		d.wrong(k, now)
	}
	return ErrCode
}
