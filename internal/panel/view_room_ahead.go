package panel

import (
	"context"
	"crypto/sha256"
	"fmt"
	"reflect"

	"cloche/internal/design"
	"cloche/internal/study"
)

// RoomAhead is what a phone of the floor holds to go on without network: the room
// as its page shows it, and later servings sealed under the codes on their plates.
type RoomAhead struct {
	Room   Room
	In     map[string]RoomAsks   // what is asked, by the languages of Room.Seats
	Orders map[TurnID][]AskOrder // in which it is asked on a turn, where turns differ in that
	Seats  []SeatAhead           // in the order of Room.Seats
}

// RoomAsks is what guests who read one language are asked.
type RoomAsks struct {
	Asks    map[study.Response][]Ask // the questions of a kind of turn; plates to choose from are left out
	Comment string                   // question of the comment box; "" = none
}

// AskOrder is the place of a question among those of a turn; of a list, also the order of
// its words: Values of [Ask].
type AskOrder struct {
	Field  string `json:"field"`
	Values []int  `json:"values,omitempty"`
}

// SeatAhead is what comes later at a seat.
type SeatAhead struct {
	SeatID AssessorID
	Ahead  []Sealed // later turns of this sitting, in order
}

// roomSealBlock is the length to whose multiples the floor's views are padded, in
// bytes.
const roomSealBlock = 128

// sealedTray is what is inside the box of a turn for the floor: the codes and the
// names to say, and no more.
type sealedTray struct {
	ID       TurnID             `json:"id"`
	Response study.Response     `json:"response"`
	Code     PlateCodes         `json:"code"`
	Plates   []sealedFloorPlate `json:"plates"`
}

type sealedFloorPlate struct {
	ID    ServingID   `json:"id"`
	Code  design.Code `json:"code"`
	Name  string      `json:"name"`
	Known bool        `json:"known"`
}

// RoomAhead returns what a phone of the floor may hold: see [Service.Room] and
// [Sealed]. One salt serves the whole sitting, so that a phone derives one key from
// the codes of a turn and finds the seat that it belongs to. Without open study it
// holds no turn; names that are read before tasting are never held.
func (s *Service) RoomAhead(ctx context.Context, by Session) (RoomAhead, error) {
	room, err := s.Room(ctx, by)
	if err != nil {
		return RoomAhead{}, err
	}
	sitting, stored, err := s.sitting(ctx, by.SittingID)
	if err != nil {
		return RoomAhead{}, err
	}
	held := RoomAhead{Room: room, In: map[string]RoomAsks{}, Orders: map[TurnID][]AskOrder{}}
	if !room.Open {
		return held, nil
	}
	e, err := s.evening(ctx, stored)
	if err != nil {
		return RoomAhead{}, err
	}
	salt := sha256.Sum256([]byte(s.derive("floor seal", string(sitting.ID))))
	for _, t := range e.at(sitting.Number) {
		held.addAsks(t.spoken(), sitting.Number)
		ahead, err := s.seatAhead(t, sitting, salt[:16])
		if err != nil {
			return RoomAhead{}, fmt.Errorf("seal the turns of a seat: %w", err)
		}
		held.Seats = append(held.Seats, ahead)
	}
	return held, nil
}

// addAsks holds what is asked on the turns of a seat: the questions once in a language, and in
// which order this guest gets them on each turn, which is part of the plan.
func (held *RoomAhead) addAsks(t seatState, sitting int) {
	lang := t.study.Spec.Language()
	in, known := held.In[lang]
	if !known {
		in = RoomAsks{map[study.Response][]Ask{}, t.study.Spec.Texts.Comment}
		held.In[lang] = in
	}
	for _, x := range t.turns {
		if x.reads() || x.Sitting != sitting {
			continue
		}
		asks := t.forStaff(BallotTurn{Asks: responses[x.Response].asks(t, x)}).Asks
		if _, known := in.Asks[x.Response]; !known {
			in.Asks[x.Response] = withoutPlates(asks)
		}
		if first := orderOf(in.Asks[x.Response]); !reflect.DeepEqual(orderOf(asks), first) {
			held.Orders[x.ID] = orderOf(asks)
		}
	}
}

func orderOf(asks []Ask) (order []AskOrder) {
	for _, x := range asks {
		order = append(order, AskOrder{x.Field, x.Values})
	}
	return order
}

// withoutPlates leaves out what differs from turn to turn.
func withoutPlates(asks []Ask) []Ask {
	for i := range asks {
		asks[i].Plates = nil
	}
	return asks
}

// seatAhead seals what comes at a seat after the turn that floor may know.
func (s *Service) seatAhead(t seatState, sitting Sitting, salt []byte) (SeatAhead, error) {
	a := SeatAhead{SeatID: t.assessor.ID}
	now := t.floorSeat(sitting, s.now())
	if now.State == SeatWithdrawn || now.State == SeatStopped {
		return a, nil
	}
	for i := t.next(); i < len(t.turns); i++ {
		x := t.turns[i]
		if x.Sitting != sitting.Number || x.reads() || t.over(x) || x.ID == now.Next.ID {
			continue
		}
		view, err := t.padded(i, roomSealBlock, func(t seatState) any { return t.tray(i) })
		if err != nil {
			return SeatAhead{}, err
		}
		sealed, err := s.seal(salt, t, x, view)
		if err != nil {
			return SeatAhead{}, err
		}
		sealed.Number, sealed.Of = t.number(i)
		a.Ahead = append(a.Ahead, sealed)
	}
	return a, nil
}

func (t seatState) tray(i int) sealedTray {
	x := t.turns[i]
	w := sealedTray{ID: x.ID, Response: x.Response, Code: x.Key()}
	for _, p := range t.floorTurn(i).Plates {
		w.Plates = append(w.Plates, sealedFloorPlate{p.ID, p.Code, p.Name, p.Known})
	}
	return w
}
