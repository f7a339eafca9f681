package panel

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"time"
)

// RoomAhead is what a phone of the floor holds to go on without network: the room
// as its page shows it, and later servings sealed under the codes on their plates.
type RoomAhead struct {
	Room    Room
	Pause   time.Duration // between servings
	Asks    []Ask         // the questions, the same for every serving
	Comment string        // question of the comment box; "" = none
	Seats   []SeatAhead   // in the order of Room.Seats
}

// SeatAhead is what comes later at a seat.
type SeatAhead struct {
	SeatID string
	Ahead  []Sealed // later servings of this sitting, in order
}

// roomSealBlock is the length to whose multiples the floor's views are padded, in
// bytes.
const roomSealBlock = 128

// sealedPlate is what is inside the box of a serving for the floor: the code and
// the name to say, and no more.
type sealedPlate struct {
	ID   string `json:"id"`
	Code string `json:"code"`
	Name string `json:"name"`
}

// RoomAhead returns what a phone of the floor may hold: see [Service.Room] and
// [Sealed]. One salt serves the whole sitting, so that a phone derives one key from
// the code of a plate and finds the seat that it belongs to. Without open study it
// holds no serving; names that are read before tasting are never held.
func (s *Service) RoomAhead(ctx context.Context, by Session) (RoomAhead, error) {
	room, err := s.Room(ctx, by)
	if err != nil {
		return RoomAhead{}, err
	}
	sitting, kept, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return RoomAhead{}, err
	}
	held := RoomAhead{Room: room, Pause: time.Duration(kept.Asked.Serving.RinseSeconds) * time.Second, Comment: kept.Asked.Texts.Comment}
	if !room.Open {
		return held, nil
	}
	e, err := s.evening(ctx, kept)
	if err != nil {
		return RoomAhead{}, err
	}
	salt := sha256.Sum256([]byte(s.derive("floor seal", sitting.ID)))
	for _, t := range e.at(sitting.Number) {
		for i, v := range t.servings {
			if !v.IsRead() && held.Asks == nil {
				held.Asks = t.ballotServing(i).Asks
			}
		}
		ahead, err := s.seatAhead(t, sitting, salt[:16])
		if err != nil {
			return RoomAhead{}, fmt.Errorf("seal the servings of a seat: %w", err)
		}
		held.Seats = append(held.Seats, ahead)
	}
	return held, nil
}

// seatAhead seals what comes at a seat after the serving that floor may know.
func (s *Service) seatAhead(t seat, sitting Sitting, salt []byte) (SeatAhead, error) {
	a := SeatAhead{SeatID: t.assessor.ID}
	now := t.floorSeat(sitting, s.now())
	if now.State == SeatWithdrawn || now.State == SeatStopped {
		return a, nil
	}
	for i := t.next(); i < len(t.servings); i++ {
		v := t.servings[i]
		if v.Sitting != sitting.Number || v.IsRead() || t.over(v) || v.ID == now.Next.ID {
			continue
		}
		sealed, err := s.sealPlate(t, i, salt)
		if err != nil {
			return SeatAhead{}, err
		}
		a.Ahead = append(a.Ahead, sealed)
	}
	return a, nil
}

func (s *Service) sealPlate(t seat, i int, salt []byte) (Sealed, error) {
	view, err := t.plateView(i)
	if err != nil {
		return Sealed{}, err
	}
	sealed, err := s.seal(salt, t.servings[i], view)
	sealed.Number, sealed.Of = t.number(i)
	return sealed, err
}

// plateView is the padded JSON of a plate. Every one of a study has the same
// length, that of the longest name.
func (t seat) plateView(i int) ([]byte, error) {
	length := 0
	var view []byte
	for _, x := range t.study.Asked.Samples {
		v := t.servings[i]
		text, err := json.Marshal(sealedPlate{ID: v.ID, Code: v.Code, Name: t.study.Asked.NameText(x.ID)})
		if err != nil {
			return nil, err
		}
		length = max(length, len(text))
		if x.ID == v.Sample {
			view = text
		}
	}
	return padded(view, length, roomSealBlock), nil
}

// padded fills a view with spaces up to the multiple of block that holds length.
func padded(view []byte, length, block int) []byte {
	length = (length + block - 1) / block * block
	for len(view) < length {
		view = append(view, ' ')
	}
	return view
}
