package room

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// wireRoom is what a phone of the floor holds to go on without network. It has the
// names that the room's page shows; later ones are sealed.
type wireRoom struct {
	Sitting int                               `json:"sitting"`
	Open    bool                              `json:"open"`
	Salt    []byte                            `json:"salt"`
	In      map[string]wireAsks               `json:"in"`     // by language
	Orders  map[panel.TurnID][]panel.AskOrder `json:"orders"` // where turns differ in that
	Seats   []wireSeat                        `json:"seats"`
	withoutNetwork
}

// wireAsks is what guests who read one language are asked.
type wireAsks struct {
	Asks    map[study.Response][]panel.Ask `json:"asks"`
	Comment string                         `json:"comment"`
}

type wireSeat struct {
	ID     panel.AssessorID `json:"id"`
	Label  int              `json:"label"`
	Chair  int              `json:"chair"`  // at the table, from 1; 0 = not known
	Place  string           `json:"place"`  // where they sit, in the floor's words
	Tongue string           `json:"tongue"` // the language that they read, by name
	Lang   string           `json:"lang"`   // of what they are told and asked, BCP 47
	Phone  bool             `json:"phone"`
	Table  string           `json:"table"` // "" = not known
	State  standing         `json:"state"`
	Was    standing         `json:"was"`   // where they would stand if they had not left
	Words  string           `json:"words"` // the state, for reading
	Over   int              `json:"over"`
	Of     int              `json:"of"`
	Now    *wireTray        `json:"now,omitempty"`
	Ahead  []wireBehind     `json:"ahead"`
}

// wireTray is what is taken to a seat now; inside a seal it stands without number.
type wireTray struct {
	ID       panel.TurnID     `json:"id"`
	Number   int              `json:"number"`
	Response study.Response   `json:"response"`
	Code     panel.PlateCodes `json:"code"`
	Gate     int              `json:"gate"` // codes to type before its questions appear
	Plates   []wirePlate      `json:"plates"`
}

type wirePlate struct {
	ID    panel.ServingID `json:"id"`
	Code  panel.Code      `json:"code"`
	Name  string          `json:"name"`
	Known bool            `json:"known"`
}

// wireBehind is a later turn, behind its seal.
type wireBehind struct {
	ID       panel.TurnID `json:"id"`
	Number   int          `json:"number"`
	Together int          `json:"together"` // how many plates it has
	Codes    int          `json:"codes"`    // how many open it
	Opens    string       `json:"opens"`    // which, in words
	Nonce    []byte       `json:"nonce"`
	Box      []byte       `json:"box"`
}

// onFloorOffline is the floor without network. It has no field for a seat or a
// serving: the phone fills in what it holds.
type onFloorOffline struct {
	site.StaffFrame
	Care      panel.GuestTexts
	Pad       pad
	TasteOnce bool // what stands on a tray is not tasted again
	Blank     site.Blanks
	Sits      string // what the form does that notes where somebody sits
	Moves     string // and that of the table
}

var floorOfflineScreen = site.StaffScreen[onFloorOffline]("room/floor_offline")

func (s *handlers) floorOffline(c *gin.Context) error {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	if err != nil {
		return err
	}
	frame := site.StaffFrameFor(c, by.Role, "Floor, without network", r.Sitting, r.Invented)
	frame.Languages = nil // to choose one needs the network
	return site.Show(s.Site, c, http.StatusOK, floorOfflineScreen, onFloorOffline{
		StaffFrame: frame,
		Care:       panel.GuestTexts{Contents: r.Contents}, TasteOnce: r.TasteOnce,
		Blank: site.BlankAsks, Sits: sits.Does, Moves: moves.Does,
	})
}

func (s *handlers) floorAhead(c *gin.Context) error {
	held, err := s.Panel.RoomAhead(c.Request.Context(), site.SessionOf(c))
	if err != nil {
		return err
	}
	say := site.TongueOf(c)
	w := wireRoom{Sitting: held.Room.Sitting, Open: held.Room.Open, Orders: held.Orders,
		In: map[string]wireAsks{}, Seats: []wireSeat{}, withoutNetwork: onPhones(say)}
	for lang, asked := range held.In {
		w.In[lang] = wireAsks(asked)
	}
	later := map[panel.AssessorID][]panel.Sealed{}
	for _, t := range held.Seats {
		later[t.SeatID] = t.Ahead
	}
	for _, t := range held.Room.Seats {
		seat := newWireSeat(say, t)
		for _, x := range later[t.ID] {
			w.Salt = x.Salt
			seat.Ahead = append(seat.Ahead, wireBehind{x.ID, x.Number, x.Plates, x.Codes, opens(say, x), x.Nonce,
				x.Box})
		}
		w.Seats = append(w.Seats, seat)
	}
	c.JSON(http.StatusOK, w)
	return nil
}

// opens says which codes open a later turn.
func opens(say site.Tongue, x panel.Sealed) string {
	switch {
	case x.Codes > 1:
		return say.Translate("all its codes")
	case x.Plates > 1:
		return say.Translate("the code of its first plate")
	}
	return say.Translate("the code on the plate")
}

func newWireSeat(say site.Tongue, t panel.FloorSeat) wireSeat {
	w := wireSeat{ID: t.ID, Label: t.Label, Chair: t.TableSeat, Place: t.Seat, Table: tableWords(t),
		Tongue: tongueOf(say, t), Lang: t.Language, Phone: t.Phone, State: standingOf(t.State, t),
		Was: standingOf(t.Else, t), Words: standsIn(say, t), Over: t.Over, Of: t.Of, Ahead: []wireBehind{}}
	if t.Next.ID != "" {
		w.Now = &wireTray{t.Next.ID, t.Next.Number, t.Next.Response, t.Next.Code, t.Next.Gate, nil}
		for _, p := range t.Next.Plates {
			w.Now.Plates = append(w.Now.Plates, wirePlate{p.ID, p.Code, p.Name, p.Known})
		}
	}
	return w
}
