package panel

import (
	"bytes"
	"context"
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"cloche/internal/study"
)

// sealBlock is the length to whose multiples views are padded, in bytes, so that
// the length of what is sealed does not tell one name from another.
const sealBlock = 2048

// Sealed is a later turn that a phone holds before it is due, sealed under the codes
// on its plates: that of the one, and of a tray all of them or the first, as the study
// says.
//
// The seal keeps a name from being seen by accident, or by a glance at what a phone
// stores, and it tells the phone whether the plate is the right one. It is no secret
// from a guest who sets out to open it: there are under a thousand codes, and whoever
// tries them all is done in no time. Hashing a code many times over would make that
// minutes, at the cost of as much work for every turn; so it is hashed once.
//
// Box is AES-256-GCM (NIST SP 800-38D) with a 12-byte Nonce, a 16-byte tag at the
// end of Box, and as additional data the bytes of ID. Its key is HKDF (RFC 5869)
// with SHA-256, the digits of the codes as ASCII, rising and with a space between
// two, Salt (16 bytes) and no info, 32
// bytes long. In the browser: importKey("raw", codes, "HKDF"), deriveKey({name:
// "HKDF", hash: "SHA-256", salt, info}, …, {name: "AES-GCM", length: 256}),
// decrypt({name: "AES-GCM", iv: nonce, additionalData: id}). A wrong code fails to
// decrypt. The same turn under the same codes is sealed to the same bytes.
//
// Inside is a [TurnView] as JSON, padded with spaces at its end.
type Sealed struct {
	ID     TurnID
	Number int // from 1, within the sitting
	Of     int
	Plates int // how many it has
	Codes  int // how many codes open it: all of them, or the first one
	Salt   []byte
	Nonce  []byte
	Box    []byte
}

// Held is what a phone holds to go on without network, all as of one moment.
type Held struct {
	Ballot Ballot   // what its page shows
	Ahead  []Sealed // what comes after that
	Last   *Sealed  // the last question, under the codes of the last turn; nil = none, or it is on the page
}

// Ahead returns what the ballot shows, and the turns that come after it, at the
// sittings that are open, each sealed under its codes. The list is empty before the
// instructions were read, while more than one name is still to be read, and after
// close. Names that are read are never held ahead.
func (s *Service) Ahead(ctx context.Context, token SeatToken) (Held, error) {
	t, err := s.seatOfLink(ctx, token)
	if err != nil {
		return Held{}, err
	}
	b := t.ballot(s.now())
	sealed, err := s.sealedAfter(t, b.Stage)
	if err != nil {
		return Held{}, fmt.Errorf("seal a turn: %w", err)
	}
	last, err := s.sealLast(t)
	if err != nil {
		return Held{}, fmt.Errorf("seal the last question: %w", err)
	}
	return Held{b, sealed, last}, nil
}

// sealedAfter seals what comes after what an assessor sees at a stage.
func (s *Service) sealedAfter(t seatState, stage Stage) ([]Sealed, error) {
	first := t.next()
	switch stage {
	case StageRinse, StagePlate:
	case StageServing, StageNames:
		first++ // that one is open on the phone
	default:
		return nil, nil
	}
	var all []Sealed
	for i := first; i < len(t.turns); i++ {
		x := t.turns[i]
		if x.reads() && !t.over(x) {
			return nil, nil // the phone has to ask for it first
		}
		if t.over(x) || !t.opened[x.Sitting] {
			continue
		}
		sealed, err := s.sealTurn(t, i)
		if err != nil {
			return nil, err
		}
		all = append(all, sealed)
	}
	return all, nil
}

func (s *Service) sealTurn(t seatState, i int) (Sealed, error) {
	view, err := t.padded(i, sealBlock, func(t seatState) any { return t.ballotTurn(i).View() })
	if err != nil {
		return Sealed{}, err
	}
	x := t.turns[i]
	salt := sha256.Sum256([]byte(s.derive("seal", string(x.ID), string(x.Key()))))
	sealed, err := s.seal(salt[:16], t, x, view)
	sealed.Number, sealed.Of = t.number(i)
	return sealed, err
}

// padded is the JSON of a view of the turn at i, with spaces at its end. Every turn of
// as many plates gets the same length in a study: that of the longest name on each.
func (t seatState) padded(i, block int, view func(seatState) any) ([]byte, error) {
	own, err := json.Marshal(view(t))
	length := len(own)
	for _, x := range t.study.Spec.Samples {
		other := t
		other.turns = slices.Clone(t.turns)
		other.turns[i].Servings = slices.Clone(t.turns[i].Servings)
		for k := range other.turns[i].Servings {
			other.turns[i].Servings[k].Sample = x.ID
		}
		text, err := json.Marshal(view(other))
		if err != nil {
			return nil, err
		}
		length = max(length, len(text))
	}
	length = (length + block - 1) / block * block
	return append(own, bytes.Repeat([]byte(" "), length-len(own))...), err
}

// opens are the codes that open the seal of a turn, as the study says.
func (t seatState) opens(x Turn) PlateCodes {
	if t.study.Spec.Serving.TrayOpens == study.ByFirstCode {
		return PlateCodes(x.Servings[0].Code)
	}
	return x.Key()
}

// seal encrypts a view of a turn under its codes; see [Sealed]. The nonce follows
// from what is sealed, so that one key never meets two views under one nonce, and
// nothing has to be kept for the next time.
func (s *Service) seal(salt []byte, t seatState, x Turn, view []byte) (Sealed, error) {
	return s.sealUnder(salt, x, t.opens(x), view)
}

func (s *Service) sealUnder(salt []byte, x Turn, under PlateCodes, view []byte) (Sealed, error) {
	codes := string(under)
	nonce := sha256.Sum256([]byte(s.derive("seal nonce", string(salt), string(x.ID), codes, string(view))))
	sealed := Sealed{ID: x.ID, Plates: len(x.Servings), Codes: len(strings.Fields(codes)), Salt: salt,
		Nonce: nonce[:12]}
	key, err := hkdf.Key(sha256.New, []byte(codes), salt, "", 32)
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
	sealed.Box = box.Seal(nil, sealed.Nonce, view, []byte(x.ID))
	return sealed, nil
}
