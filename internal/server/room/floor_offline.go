package room

import (
	"math"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// wireRoom is what a phone of the floor holds to go on without network. It has the
// names that the room's page shows; later ones are sealed.
type wireRoom struct {
	Sitting int            `json:"sitting"`
	Open    bool           `json:"open"`
	Pause   float64        `json:"pause"` // seconds between servings
	Salt    []byte         `json:"salt"`
	Asks    []site.AskJSON `json:"asks"`
	Comment string         `json:"comment"`
	Seats   []wireSeat     `json:"seats"`
}

type wireSeat struct {
	ID    string       `json:"id"`
	Label int          `json:"label"`
	Place string       `json:"place"` // where they sit, in the floor's words
	Phone bool         `json:"phone"`
	Reads bool         `json:"reads"` // staff read names to them first
	State string       `json:"state"`
	Words string       `json:"words"` // the state, for reading
	Over  int          `json:"over"`
	Of    int          `json:"of"`
	Rinse int          `json:"rinse"` // seconds left
	Now   *wirePlate   `json:"now,omitempty"`
	Ahead []wireBehind `json:"ahead"`
}

type wirePlate struct {
	ID     string `json:"id"`
	Number int    `json:"number"`
	Code   string `json:"code"`
	Name   string `json:"name"`
	Served bool   `json:"served"`
}

// wireBehind is a later plate, behind its seal.
type wireBehind struct {
	ID     string `json:"id"`
	Number int    `json:"number"`
	Nonce  []byte `json:"nonce"`
	Box    []byte `json:"box"`
}

// onFloorOffline is the floor without network. It has no field for a seat or a
// serving: the phone fills in what it holds.
type onFloorOffline struct {
	site.StaffFrame
	Care         panel.GuestTexts
	Line, Choice panel.Ask // their markup, to be filled in
}

var floorOfflineScreen = site.StaffScreen[onFloorOffline]("floor_offline")

func (s *handlers) floorOffline(c *gin.Context) error {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, floorOfflineScreen, onFloorOffline{
		StaffFrame: site.StaffFrameFor(by, "Floor, without network", r.Sitting, r.Invented),
		Care:       panel.GuestTexts{Contents: r.Contents},
		Line:       site.BlankLine, Choice: site.BlankChoice,
	})
}

func (s *handlers) floorAhead(c *gin.Context) error {
	held, err := s.Panel.RoomAhead(c.Request.Context(), site.SessionOf(c))
	if err != nil {
		return err
	}
	for i := range held.Asks {
		held.Asks[i].Number = true // staff type what a guest says
	}
	w := wireRoom{Sitting: held.Room.Sitting, Open: held.Room.Open, Pause: held.Pause.Seconds(), Asks: site.AsksJSON(held.Asks), Comment: held.Comment, Seats: []wireSeat{}}
	later := map[string][]panel.Sealed{}
	for _, t := range held.Seats {
		later[t.SeatID] = t.Ahead
	}
	for _, t := range held.Room.Seats {
		seat := newWireSeat(t)
		for _, x := range later[t.ID] {
			w.Salt = x.Salt
			seat.Ahead = append(seat.Ahead, wireBehind{x.ID, x.Number, x.Nonce, x.Box})
		}
		w.Seats = append(w.Seats, seat)
	}
	c.JSON(http.StatusOK, w)
	return nil
}

func newWireSeat(t panel.FloorSeat) wireSeat {
	w := wireSeat{ID: t.ID, Label: t.Label, Place: t.Seat, Phone: t.Phone, Reads: t.State == panel.SeatReading && !t.Phone, State: string(t.State), Words: seatWords(t),
		Over: t.Over, Of: t.Of, Rinse: int(math.Ceil(t.Rinse.Seconds())), Ahead: []wireBehind{}}
	if t.Next.ID != "" {
		w.Now = &wirePlate{t.Next.ID, t.Next.Number, t.Next.Code, t.Next.Name, t.Next.Served}
	}
	return w
}
