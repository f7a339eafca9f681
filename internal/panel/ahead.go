package panel

import (
	"context"
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/sha256"
	"encoding/json"
	"fmt"
)

// sealBlock is the length to whose multiples views are padded, in bytes, so that
// the length of what is sealed does not tell one name from another.
const sealBlock = 2048

// Sealed is a later serving that a phone holds ahead of its turn, sealed under the
// code on its plate.
//
// The seal keeps a name from being seen by accident, or by a glance at what a phone
// stores, and it tells the phone whether the plate is the right one. It is no secret
// from a guest who sets out to open it: there are under a thousand codes, and whoever
// tries them all is done in no time. Hashing a code many times over would make that
// minutes, at the cost of as much work for every serving; so it is hashed once.
//
// Box is AES-256-GCM (NIST SP 800-38D) with a 12-byte Nonce, a 16-byte tag at the
// end of Box, and as additional data the bytes of ID. Its key is HKDF (RFC 5869)
// with SHA-256, the digits of the code as ASCII, Salt (16 bytes) and no info, 32
// bytes long. In the browser: importKey("raw", code, "HKDF"), deriveKey({name:
// "HKDF", hash: "SHA-256", salt, info}, …, {name: "AES-GCM", length: 256}),
// decrypt({name: "AES-GCM", iv: nonce, additionalData: id}). A wrong code fails to
// decrypt. The same serving under the same code is sealed to the same bytes.
//
// Inside is a JSON object, padded with spaces at its end: id, number, of, code,
// name ("" when blind), asks (list of field, text, line, low, high, from, to,
// labels) and comment (question of the comment box, "" when there is none). It is
// what [BallotServing] holds, and no more.
type Sealed struct {
	ID     string // of the serving; random
	Number int    // from 1, within the sitting
	Of     int
	Salt   []byte
	Nonce  []byte
	Box    []byte
}

// The wire form of what is inside the box.
type sealedServing struct {
	ID      string      `json:"id"`
	Number  int         `json:"number"`
	Of      int         `json:"of"`
	Code    string      `json:"code"`
	Name    string      `json:"name"`
	Asks    []sealedAsk `json:"asks"`
	Comment string      `json:"comment"`
}

type sealedAsk struct {
	Field  string   `json:"field"`
	Text   string   `json:"text"`
	Line   bool     `json:"line"`
	Low    string   `json:"low"`
	High   string   `json:"high"`
	From   float64  `json:"from"`
	To     float64  `json:"to"`
	Number bool     `json:"number"`
	Labels []string `json:"labels"`
}

// Held is what a phone holds to go on without network, all as of one moment.
type Held struct {
	Ballot Ballot   // what its page shows
	Ahead  []Sealed // what comes after that
}

// Ahead returns what the ballot shows, and the servings that come after it, at the
// sittings that are open, each sealed under its code. The list is empty before the
// instructions were read, while more than one name is still to be read, and after
// close. Names that are read are never held ahead.
func (s *Service) Ahead(ctx context.Context, token string) (Held, error) {
	t, err := s.seat(ctx, token)
	if err != nil {
		return Held{}, err
	}
	b := t.ballot(s.now())
	sealed, err := s.sealedAfter(t, b.Stage)
	if err != nil {
		return Held{}, fmt.Errorf("seal a serving: %w", err)
	}
	return Held{b, sealed}, nil
}

// sealedAfter seals what comes after what an assessor sees at a stage.
func (s *Service) sealedAfter(t seat, stage Stage) ([]Sealed, error) {
	first := t.next()
	switch stage {
	case StageRinse:
	case StageServing, StageNames:
		first++ // that one is open on the phone
	default:
		return nil, nil
	}
	var all []Sealed
	for i := first; i < len(t.servings); i++ {
		v := t.servings[i]
		if v.IsRead() && !t.over(v) {
			return nil, nil // the phone has to ask for it first
		}
		if t.over(v) || !t.opened[v.Sitting] {
			continue
		}
		sealed, err := s.sealServing(t, i)
		if err != nil {
			return nil, err
		}
		all = append(all, sealed)
	}
	return all, nil
}

func (s *Service) sealServing(t seat, i int) (Sealed, error) {
	view, err := t.sealedView(i)
	if err != nil {
		return Sealed{}, err
	}
	v := t.servings[i]
	salt := sha256.Sum256([]byte(s.derive("seal", v.ID, v.Code)))
	sealed, err := s.seal(salt[:16], v, view)
	sealed.Number, sealed.Of = t.number(i)
	return sealed, err
}

// sealedView is the padded JSON of a serving. Every serving of a study gets the
// same length, that of the longest name.
func (t seat) sealedView(i int) ([]byte, error) {
	length := 0
	var view []byte
	for _, x := range t.study.Asked.Samples {
		v := t.servings[i]
		v.Sample = x.ID
		other := t
		other.servings = append([]Serving(nil), t.servings...)
		other.servings[i] = v
		text, err := json.Marshal(other.wire(i))
		if err != nil {
			return nil, err
		}
		length = max(length, len(text))
		if x.ID == t.servings[i].Sample {
			view = text
		}
	}
	return padded(view, length, sealBlock), nil
}

func (t seat) wire(i int) sealedServing {
	b := t.ballotServing(i)
	w := sealedServing{ID: b.ID, Number: b.Number, Of: b.Of, Code: b.Code, Name: b.Name, Comment: b.AskComment}
	for _, a := range b.Asks {
		w.Asks = append(w.Asks, sealedAsk{Field: a.Field, Text: a.Text, Line: a.Line, Low: a.Low, High: a.High,
			From: a.From, To: a.To, Number: a.Number, Labels: a.Labels})
	}
	return w
}

// seal encrypts a view of a serving under its code; see [Sealed]. The nonce follows
// from what is sealed, so that one key never meets two views under one nonce, and
// nothing has to be kept for the next time.
func (s *Service) seal(salt []byte, v Serving, view []byte) (Sealed, error) {
	nonce := sha256.Sum256([]byte(s.derive("seal nonce", string(salt), v.ID, v.Code, string(view))))
	sealed := Sealed{ID: v.ID, Salt: salt, Nonce: nonce[:12]}
	key, err := hkdf.Key(sha256.New, []byte(v.Code), salt, "", 32)
	if err != nil {
		return Sealed{}, err
	}
	block, err := aes.NewCipher(key)
	if err != nil {
		return Sealed{}, err
	}
	box, err := cipher.NewGCM(block)
	if err != nil {
		return Sealed{}, err
	}
	sealed.Box = box.Seal(nil, sealed.Nonce, view, []byte(v.ID))
	return sealed, nil
}
