package panel

import (
	"context"
	"sync"
)

// watchers tells pages that stay open when something changed in a study. It says
// that, not what: each page asks again for what its role may know.
type watchers struct {
	mu  sync.Mutex
	all map[string]map[chan struct{}]bool // by study
}

// Watch returns a channel that gets a value soon after each change in a study made
// through this service; several changes in a row may give one value. stop ends it.
func (s *Service) Watch(studyID string) (changed <-chan struct{}, stop func()) {
	w := &s.watch
	ch := make(chan struct{}, 1)
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.all == nil {
		w.all = map[string]map[chan struct{}]bool{}
	}
	if w.all[studyID] == nil {
		w.all[studyID] = map[chan struct{}]bool{}
	}
	w.all[studyID][ch] = true
	return ch, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		delete(w.all[studyID], ch)
		if len(w.all[studyID]) == 0 {
			delete(w.all, studyID)
		}
	}
}

// changed tells whoever watches a study. It never waits.
func (s *Service) changed(studyID string) {
	w := &s.watch
	w.mu.Lock()
	defer w.mu.Unlock()
	for ch := range w.all[studyID] {
		select {
		case ch <- struct{}{}:
		default: // a value that nobody has taken yet says the same
		}
	}
}

// changedAt tells whoever watches the study of a seat, and the guest's own phone.
func (s *Service) changedAt(t seatState) {
	s.changed(t.study.ID)
	s.changed(ownPhone(t.assessor.ID))
}

// ownPhone is what the phone of one guest watches: not the whole study, at whose every
// change all phones of a dining room would ask at once.
func ownPhone(assessorID string) string { return "assessor " + assessorID }

// WatchSeat is [Service.Watch] for the phone of a personal link: of what staff note
// about its seat.
func (s *Service) WatchSeat(ctx context.Context, token string) (changed <-chan struct{}, stop func(), err error) {
	a, err := s.store.AssessorByToken(ctx, hash(token))
	if err != nil {
		return nil, nil, err
	}
	changed, stop = s.Watch(ownPhone(a.ID))
	return changed, stop, nil
}
