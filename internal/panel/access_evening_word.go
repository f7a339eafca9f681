package panel

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/binary"
	"errors"
	"fmt"
	"net/netip"
	"strings"
	"sync"
)

// eveningWords are short, harmless and much the same in many languages.
var eveningWords = []string{
	"banana", "basilico", "cacao", "domino", "kiwi", "limone", "mango", "melone", "menta", "opera", "panda", "piano",
	"polka", "tango", "timbale", "zebra",
}

// freeJoins is how many people of so many places may join from one address without the
// word of the evening: a table that shares one, and well below a panel. Our choice.
func freeJoins(places int) int { return max(2, min(10, places/5)) }

// EveningWord is what stands on the card of a sitting's tables: a word and two digits.
// Whoever can say it is in the room. It follows from the service's secret.
func (s *Service) EveningWord(sittingID SittingID) string {
	mac := hmac.New(sha256.New, s.secret)
	fmt.Fprintf(mac, "word of the evening/%s", sittingID)
	n := binary.BigEndian.Uint64(mac.Sum(nil))
	return fmt.Sprintf("%s %d", eveningWords[n%uint64(len(eveningWords))], 10+n/uint64(len(eveningWords))%90)
}

// plainWord leaves case and spaces out.
func plainWord(text string) string { return strings.ToLower(strings.Join(strings.Fields(text), "")) }

// AskWord says whether everybody who joins a sitting has to say the word of the
// evening. [ErrWrongState] unless the study is locked or open.
func (s *Service) AskWord(ctx context.Context, by Session, sittingID SittingID, ask bool) error {
	if err := by.may(ActAdmit); err != nil {
		return err
	}
	sitting, err := s.store.Sitting(ctx, sittingID)
	if err != nil || sitting.AskWord == ask { // a double tap
		return err
	}
	what := "word of the evening asked of everybody"
	if !ask {
		what = "word of the evening no longer asked of everybody"
	}
	e := s.event(sitting.StudyID, by.Who(), what, fmt.Sprintf("sitting %d", sitting.Number))
	if err := s.store.AskWord(ctx, sittingID, ask, e); err != nil {
		return fmt.Errorf("ask for the word of the evening: %w", err)
	}
	return nil
}

// Arrival is a person who is about to join.
type Arrival struct {
	Join  JoinToken // token of the join link
	Nonce string    // of the form: the same form sent twice is one person
	Word  string    // of the evening, when it was asked; "" = not said
	From  string    // address
	Seat  string    // token of the seat that the browser has at the sitting; "" = none
}

// Arrive counts a person who is about to join. From one address only a few may without
// the word of the evening: one phone cannot take every place. Nobody may where the lead
// asks everybody for it, or in a browser that has a seat: there the floor, who know the
// word, admit whom they wish. [ErrWord] when it has to be said or is wrong, [ErrSlowDown]
// after wrong ones, or when too many joined within the minute. The machine's own address
// stands for everybody behind a proxy that is not believed, and is never too many.
func (s *Service) Arrive(ctx context.Context, a Arrival) error {
	address, err := netip.ParseAddr(a.From)
	own := err == nil && address.IsLoopback()
	if !own {
		if !s.arrivals.admits(network(a.From), s.now()) {
			return ErrSlowDown
		}
		s.tellOthers(message{Arrived: network(a.From), At: s.now()}) // with the moment: each counts
	}
	sitting, stored, err := s.joined(ctx, a.Join)
	if err != nil {
		return err
	}
	switch {
	case a.Seat != "" && a.Seat == s.derive("seat", string(sitting.ID), a.Nonce): // the form was sent twice
		return nil
	case sitting.AskWord, a.Seat != "":
	case own, a.Word == "" && s.joinsFreely(sitting, stored, a):
		return nil
	}
	return s.heardWord(ctx, a, sitting)
}

// joinsFreely reports whether one more may join from an address without the word.
func (s *Service) joinsFreely(sitting Sitting, stored Study, a Arrival) bool {
	j := joinedFrom{string(sitting.ID) + " " + network(a.From), a.Nonce, freeJoins(stored.Spec.Panel.Assessors)}
	if !s.joins.admits(j.From, j.Nonce, j.Most) {
		return false
	}
	s.tellOthers(message{Joined: &j})
	return true
}

// heardWord judges the word that a person said.
func (s *Service) heardWord(ctx context.Context, a Arrival, sitting Sitting) error {
	if a.Word == "" {
		return ErrWord
	}
	err := s.slow.attempt(ctx, a.From, "", func() (bool, error) {
		said, want := plainWord(a.Word), plainWord(s.EveningWord(sitting.ID))
		return subtle.ConstantTimeCompare([]byte(said), []byte(want)) == 1, nil
	})
	if errors.Is(err, errWrong) {
		return ErrWord
	}
	return err
}

// joins remembers who joined a sitting from where, by the word of their form.
type joins struct {
	mu   sync.Mutex
	from map[string]map[string]bool
}

// admits reports whether one more from there is few enough, and counts it.
func (j *joins) admits(from, nonce string, most int) bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	known := j.from[from]
	if known[nonce] {
		return true
	}
	if len(known) >= most || known == nil && len(j.from) >= maxTries {
		return false
	}
	if known == nil {
		if j.from == nil {
			j.from = map[string]map[string]bool{}
		}
		known = map[string]bool{}
		j.from[from] = known
	}
	known[nonce] = true
	return true
}
