package panel

import (
	"context"
	"crypto/aes"
	"crypto/cipher"
	"crypto/pbkdf2"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
)

// SealIterations is how often PBKDF2 hashes. A code has three digits: whoever
// wants to try all of them needs minutes at most, whatever the number. The seal
// keeps a name from being seen by accident or by a glance at what a phone stores;
// it is no secret from a determined guest. The number is what an old phone does in
// less than half a second (common practice, no source).
const SealIterations = 100_000

// sealBlock is the length to whose multiples views are padded, in bytes, so that
// the length of what is sealed does not tell one name from another.
const sealBlock = 2048

// Sealed is a later serving that a phone holds ahead of its turn, sealed under the
// code on its plate.
//
// Box is AES-256-GCM (NIST SP 800-38D) with a 12-byte Nonce, a 16-byte tag at the
// end of Box, and as additional data the bytes of ID. Its key is PBKDF2 (RFC 8018)
// with HMAC-SHA-256, the digits of the code as ASCII, Salt (16 bytes) and
// Iterations, 32 bytes long. In the browser: importKey("raw", code, "PBKDF2"),
// deriveKey({name: "PBKDF2", hash: "SHA-256", salt, iterations}, …, {name:
// "AES-GCM", length: 256}), decrypt({name: "AES-GCM", iv: nonce, additionalData:
// id}). A wrong code fails to decrypt.
//
// Inside is a JSON object, padded with spaces at its end: id, number, of, code,
// name ("" when blind), asks (list of field, text, line, low, high, from, to,
// labels) and comment (question of the comment box, "" when there is none). It is
// what [BallotServing] holds, and no more.
type Sealed struct {
	ID         string // of the serving; random
	Number     int    // from 1, within the sitting
	Of         int
	Salt       []byte
	Nonce      []byte
	Box        []byte
	Iterations int
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
	Labels []string `json:"labels"`
}

// sealKey names a serving that was sealed: with another code or other words it is
// sealed anew.
type sealKey struct {
	id, code string
	view     [sha256.Size]byte
}

// Ahead returns the servings that come after the one whose turn it is, at the
// sittings that are open, each sealed under its code. The list is empty before the
// instructions were read, while more than one name is still to be read, and after
// close. Names that are read are never held ahead. Sealing takes some 20 ms for each
// serving; what was sealed is kept for the next call.
func (s *Service) Ahead(ctx context.Context, token string) ([]Sealed, error) {
	t, err := s.seat(ctx, token)
	if err != nil {
		return nil, err
	}
	first := t.next()
	switch t.stage(s.now()) {
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
		sealed, err := s.sealOnce(ctx, t, i)
		if err != nil {
			return nil, fmt.Errorf("seal a serving: %w", err)
		}
		all = append(all, sealed)
	}
	return all, nil
}

func (s *Service) sealOnce(ctx context.Context, t seat, i int) (Sealed, error) {
	if err := ctx.Err(); err != nil {
		return Sealed{}, err
	}
	view, err := t.sealedView(i)
	if err != nil {
		return Sealed{}, err
	}
	key := sealKey{t.servings[i].ID, t.servings[i].Code, sha256.Sum256(view)}
	if known, ok := s.sealed.Load(key); ok {
		return known.(Sealed), nil
	}
	sealed, err := seal(s.random, t.servings[i].ID, t.servings[i].Code, view)
	if err != nil {
		return Sealed{}, err
	}
	sealed.Number, sealed.Of = t.number(i)
	s.sealed.Store(key, sealed)
	return sealed, nil
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
			From: a.From, To: a.To, Labels: a.Labels})
	}
	return w
}

// seal encrypts a view under a code and a salt of its own; see [Sealed].
func seal(random io.Reader, id, code string, view []byte) (Sealed, error) {
	salt := make([]byte, 16)
	if _, err := io.ReadFull(random, salt); err != nil {
		return Sealed{}, err
	}
	return sealWith(random, salt, id, code, view)
}

func sealWith(random io.Reader, salt []byte, id, code string, view []byte) (Sealed, error) {
	s := Sealed{ID: id, Salt: salt, Nonce: make([]byte, 12), Iterations: SealIterations}
	if _, err := io.ReadFull(random, s.Nonce); err != nil {
		return Sealed{}, err
	}
	key, err := pbkdf2.Key(sha256.New, code, s.Salt, s.Iterations, 32)
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
	s.Box = box.Seal(nil, s.Nonce, view, []byte(id))
	return s, nil
}
