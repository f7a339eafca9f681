package site

import (
	"context"
	"sync"
	"time"
)

// SharedEvery is how often what many watch is made anew, at most: with the time that it takes to make
// and to send, a board is a second behind at most.
const SharedEvery = 850 * time.Millisecond

// maxShared bounds what is kept; beyond that all of it is forgotten and made anew.
const maxShared = 200

// sharedParts are parts of pages that many watch, each made once for all of them.
type sharedParts struct {
	mu    sync.Mutex
	parts map[string]*sharedPart
}

type sharedPart struct {
	turn chan struct{} // held by whoever makes it
	at   time.Time     // when making began; read and written in turn
	part []byte
}

// Of returns the part for a key as it was at since or later. Whoever asks while it
// is made waits and shares it; whoever needs a newer one waits until it is due.
func (s *sharedParts) Of(ctx context.Context, key string, since time.Time,
	make func(context.Context) ([]byte, error)) ([]byte, error) {
	p := s.find(key)
	select {
	case p.turn <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	defer func() { <-p.turn }()
	if !p.at.IsZero() && !p.at.Before(since) {
		return p.part, nil
	}
	select {
	case <-time.After(time.Until(p.at.Add(SharedEvery))):
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	begun := time.Now()
	// Others wait for it: it goes on when the one who asked first has gone.
	part, err := make(context.WithoutCancel(ctx))
	if err != nil {
		return nil, err
	}
	p.at, p.part = begun, part
	return part, nil
}

func (s *sharedParts) find(key string) *sharedPart {
	s.mu.Lock()
	defer s.mu.Unlock()
	if p := s.parts[key]; p != nil {
		return p
	}
	if len(s.parts) >= maxShared || s.parts == nil {
		s.parts = map[string]*sharedPart{} // who waits for one of them still gets it
	}
	p := &sharedPart{turn: make(chan struct{}, 1)}
	s.parts[key] = p
	return p
}
