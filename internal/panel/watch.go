package panel

import (
	"context"
	"sync"
)

// watchers tells pages that stay open when something changed in a study. It says
// that, not what: each page asks again for what its role may know.
type watchers struct {
	mu sync.Mutex
	on map[watched]map[chan struct{}]bool
}

// watched is the id of a study, or [ownPhone].
type watched string

// Watch returns a channel that gets a value soon after each change in a study made
// through this service or one of the [Others]; several changes in a row may give one value. stop ends it.
func (s *Service) Watch(studyID StudyID) (changed <-chan struct{}, stop func()) {
	return s.watchFor(watched(studyID))
}

func (s *Service) watchFor(what watched) (changed <-chan struct{}, stop func()) {
	w := &s.watch
	ch := make(chan struct{}, 1)
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.on == nil {
		w.on = map[watched]map[chan struct{}]bool{}
	}
	if w.on[what] == nil {
		w.on[what] = map[chan struct{}]bool{}
	}
	w.on[what][ch] = true
	return ch, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		delete(w.on[what], ch)
		if len(w.on[what]) == 0 {
			delete(w.on, what)
		}
	}
}

// changed tells whoever watches a study. It never waits.
func (s *Service) changed(studyID StudyID) {
	s.findings.forget(studyID)
	s.watch.tell(watched(studyID))
	s.tellOthers(message{Changed: studyID})
}

// tell tells whoever watches one thing.
func (w *watchers) tell(what watched) {
	w.mu.Lock()
	defer w.mu.Unlock()
	wake(w.on[what])
}

// all tells whoever watches anything.
func (w *watchers) all() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, channels := range w.on {
		wake(channels)
	}
}

func wake(channels map[chan struct{}]bool) {
	for ch := range channels {
		select {
		case ch <- struct{}{}:
		default: // a value that nobody has taken yet says the same
		}
	}
}

// changedAt tells whoever watches the study of a seat, and the guest's own phone.
func (s *Service) changedAt(t seatState) {
	s.changed(t.study.ID)
	s.tellPhone(t.assessor.ID)
}

// tellPhone tells a guest's own phone, at whichever service it asks.
func (s *Service) tellPhone(id AssessorID) {
	s.watch.tell(ownPhone(id))
	s.tellOthers(message{Phone: id})
}

// ownPhone is what the phone of one guest watches: not the whole study, at whose every
// change all phones of a dining room would ask at once.
func ownPhone(assessorID AssessorID) watched { return watched("assessor " + assessorID) }

// WatchSeat is [Service.Watch] for the phone of a personal link: of what staff note
// about its seat.
func (s *Service) WatchSeat(ctx context.Context, token SeatToken) (changed <-chan struct{}, stop func(), err error) {
	a, err := s.assessorByLink(ctx, token)
	if err != nil {
		return nil, nil, err
	}
	changed, stop = s.watchFor(ownPhone(a.ID))
	return changed, stop, nil
}
