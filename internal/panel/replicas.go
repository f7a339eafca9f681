package panel

import (
	"context"
	"encoding/json"
	"sync"
	"time"
)

// Others carries short messages between the services that share a database, when there may
// be several: what one keeps in its memory the others have to know too. A message that got
// lost costs little: boards ask again by themselves, and whoever typed a code types it again.
type Others interface {
	// Tell sends a message to the others soon. It never waits, and forgets a message that
	// is waiting already.
	Tell(message []byte)
	// Hear calls back with each message of another, in order, and with nil when some may
	// have been lost; until ctx ends.
	Hear(ctx context.Context, heard func(message []byte))
}

// noOthers is for a service that has its database alone.
type noOthers struct{}

func (noOthers) Tell([]byte)                        {}
func (noOthers) Hear(context.Context, func([]byte)) {}

// message is what one service tells the others; what is zero is not said.
type message struct {
	Changed StudyID     `json:",omitzero"` // something in a study
	Phone   AssessorID  `json:",omitzero"` // what staff noted about a seat
	Heard   AssessorID  `json:",omitzero"` // whose phone asked for something
	At      time.Time   `json:",omitzero"`
	Wrong   string      `json:",omitzero"` // an address, or a link, from which a guess was wrong
	Right   string      `json:",omitzero"`
	Arrived string      `json:",omitzero"` // an address from which somebody came
	Joined  *joinedFrom `json:",omitzero"`
	Claimed *claimed    `json:",omitzero"`
	Asked   *askedBlind `json:",omitzero"`
	Agreed  *agreed     `json:",omitzero"`
	Shown   *shownWay   `json:",omitzero"`
	Used    TokenHash   `json:",omitzero"` // the way in that somebody was shown
}

type joinedFrom struct {
	From, Nonce string
	Most        int
}

type claimed struct {
	Turn TurnID
	Who  string
}

type askedBlind struct {
	Ask     BlindAsk
	Sitting SittingID
	Asked   BreakBlind
}

type agreed struct {
	ID   BlindAskID
	With string
}

type shownWay struct {
	Token    TokenHash
	By       Session
	Renewals int
	Seat     AssessorID `json:",omitzero"` // for which the house's tablet is handed over
}

// tellOthers sends a message; what cannot be written is no message of ours.
func (s *Service) tellOthers(m message) {
	if text, err := json.Marshal(m); err == nil {
		s.others.Tell(text)
	}
}

// hearOthers takes what another service told as if it had happened here.
func (s *Service) hearOthers(text []byte) {
	if text == nil { // whatever was missed, everybody looks again
		s.watch.all()
		return
	}
	var m message
	if json.Unmarshal(text, &m) != nil {
		return // of another version
	}
	if m.Changed != "" {
		s.findings.forget(m.Changed)
		s.watch.tell(watched(m.Changed))
	}
	if m.Phone != "" {
		s.watch.tell(ownPhone(m.Phone))
	}
	if m.Heard != "" {
		s.heard.Store(m.Heard, m.At)
	}
	s.hearGuess(m)
	s.hearStaff(m)
}

// hearGuess counts guesses and arrivals at another service with those here.
func (s *Service) hearGuess(m message) {
	if m.Wrong != "" || m.Right != "" {
		s.slow.elsewhere(m.Wrong, m.Right)
	}
	if m.Arrived != "" {
		s.arrivals.admits(m.Arrived, s.now())
	}
	if m.Joined != nil {
		s.joins.admits(m.Joined.From, m.Joined.Nonce, m.Joined.Most)
	}
}

// hearStaff keeps what staff did at another service.
func (s *Service) hearStaff(m message) {
	if c := m.Claimed; c != nil {
		s.claims.take(c.Turn, c.Who, s.now())
	}
	if a := m.Asked; a != nil {
		s.blind.keep(blindAsk{BlindAsk: a.Ask, at: m.At, sitting: a.Sitting, asked: a.Asked})
	}
	if a := m.Agreed; a != nil {
		s.blind.agree(a.ID, a.With)
	}
	if w := m.Shown; w != nil && w.Seat != "" {
		s.tablets.keep(w.Token, handed{by: w.By, at: m.At, seat: w.Seat})
	} else if w != nil {
		s.handed.keep(w.Token, handed{by: w.By, renewals: w.Renewals, at: m.At})
	}
	if m.Used != "" {
		s.handed.take(m.Used, s.now())
		s.tablets.take(m.Used, s.now())
	}
}

// heardEvery is how often others are told at most that a phone is heard from: far more
// often than [SilentAfter].
const heardEvery = time.Minute

// lastTold remembers when others were told last of each phone.
type lastTold struct {
	mu sync.Mutex
	at map[AssessorID]time.Time
}

// due reports whether it is time to tell them again, and notes that they are told.
func (l *lastTold) due(id AssessorID, now time.Time) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if now.Sub(l.at[id]) < heardEvery {
		return false
	}
	if len(l.at) >= maxTries || l.at == nil {
		l.at = map[AssessorID]time.Time{}
	}
	l.at[id] = now
	return true
}
