package panel

import (
	"context"
	"sync"
)

// watchers tells pages that stay open when something changed in a study. It says
// that, not what: each page asks again for what its role may know.
type watchers struct {
	mu  sync.Mutex
	all map[watched]map[chan struct{}]bool
}

// watched is the id of a study, or [ownPhone].
type watched string

// Watch returns a channel that gets a value soon after each change in a study made
// through this service; several changes in a row may give one value. stop ends it.
func (s *Service) Watch(studyID StudyID) (changed <-chan struct{}, stop func()) {
	return s.watchFor(watched(studyID))
}

func (s *Service) watchFor(what watched) (changed <-chan struct{}, stop func()) {
	w := &s.watch
	ch := make(chan struct{}, 1)
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.all == nil {
		w.all = map[watched]map[chan struct{}]bool{}
	}
	if w.all[what] == nil {
		w.all[what] = map[chan struct{}]bool{}
	}
	w.all[what][ch] = true
	return ch, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		delete(w.all[what], ch)
		if len(w.all[what]) == 0 {
			delete(w.all, what)
		}
	}
}

// changed tells whoever watches a study. It never waits.
func (s *Service) changed(studyID StudyID) {
	s.findings.forget(studyID)
	s.tell(watched(studyID))
}

func (s *Service) tell(what watched) {
	w := &s.watch
	w.mu.Lock()
	defer w.mu.Unlock()
	for ch := range w.all[what] {
		select {
		case ch <- struct{}{}:
		default: // a value that nobody has taken yet says the same
		}
	}
}

// changedAt tells whoever watches the study of a seat, and the guest's own phone.
func (s *Service) changedAt(t seatState) {
	s.changed(t.study.ID)
	s.tell(ownPhone(t.assessor.ID))
}

// ownPhone is what the phone of one guest watches: not the whole study, at whose every
// change all phones of a dining room would ask at once.
func ownPhone(assessorID AssessorID) watched { return watched("assessor " + assessorID) }

// WatchSeat is [Service.Watch] for the phone of a personal link: of what staff note
// about its seat.
func (s *Service) WatchSeat(ctx context.Context, token SeatToken) (changed <-chan struct{}, stop func(), err error) {
	a, err := s.store.AssessorByToken(ctx, hash(token))
	if err != nil {
		return nil, nil, err
	}
	changed, stop = s.watchFor(ownPhone(a.ID))
	return changed, stop, nil
}
