package room

import (
	"cmp"
	"net/http"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// room is the floor's list of seats: what to take where next. It is built from
// [panel.Room], which holds no dish and no later serving.
type room struct {
	site.StaffFrame
	Show   string // which seats: "out", "table" or "all"
	Tabs   []roomTab
	Reads  []seatCard // staff read names to them before their first plate
	Seats  []seatCard
	Groups []seatGroup // of the same; by table, in the lists in which no one is in need
	Undo   []shownAct  // take back the plates that were set down last, where no card offers it
	Pad    pad
	Free   int
	Asks   []shownAsk // to see what a plate is

	Declined int
	Told     string // where everybody stands, in words
	Waves    panel.Waves
	Unused   int // places that nobody uses
	panel.Ending
	Decision panel.Decision
	Open     bool
	Word     string // of the evening
	Again    string // where the list is asked for again
}

// roomTab chooses which seats are listed.
type roomTab struct {
	Show, Words string
	Count       int
	Here        bool
}

// seatCard is one seat with what comes next.
type seatCard struct {
	ID       panel.AssessorID
	Guest    string // table and seat there, else the guest's number
	Here     string // the same, for a list under the table's name
	Seat     string // where they sit, in the floor's words
	Table    int    // 0 = not known
	At       int    // seat there, from 1; 0 = not known
	Speaks   string // the language that they read, by name; "" = not known, or everybody's
	Label    int
	State    panel.SeatState
	Words    string // the state, for reading
	Mark     string // a plate is on the table; "" = none
	Next     panel.FloorTurn
	Over, Of int
	Long     bool   // waits for longer than [site.LongWait], or its plate at the pass than the study says
	With     string // who else has its plate in the hand; "" = nobody
	Just     bool   // was served within [justServed]
	Phone    bool
	Lent     bool       // the house's tablet shows their ballot
	Free     bool       // never tasted
	Acts     []shownAct // what can be noted, in order
}

// OnCard is the act that is offered on the card of a seat in the list; without words
// when there is none.
func (t seatCard) OnCard() shownAct {
	for _, act := range t.Acts {
		if act.Card != "" {
			return act
		}
	}
	return shownAct{}
}

// isLong reports whether a seat needs somebody: its plate is not held back, and it waits for
// long, or the plate does at the pass.
func isLong(t panel.FloorSeat) bool {
	return t.State == panel.SeatWaiting && t.Held == 0 && (t.Waiting >= site.LongWait || t.Late)
}

// justServed is for how long a seat keeps its place among those that wait after its
// plate was set down: what was done there is seen, and taken back, where it was done.
const justServed = time.Minute

var roomScreen = site.StaffScreen[room]("room/room")

// The choices of the list.
const (
	showOut   = "out"   // waiting: a plate is to be taken out
	showTable = "table" // tasting
	showAll   = "all"
)

// room shows the floor's list.
func (s *handlers) room(c *gin.Context) error {
	page, err := s.roomPage(c)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, roomScreen, page)
}

func (s *handlers) roomPage(c *gin.Context) (room, error) {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	if err != nil {
		return room{}, err
	}
	return newRoom(site.StaffFrameFor(c, by.Role, "Floor", r.Sitting, r.Invented), r, c.Query("show")), nil
}

func newRoom(frame site.StaffFrame, r panel.Room, choice string) room {
	say := frame.Tongue()
	page := room{StaffFrame: frame, Show: choice, Free: r.Counts.Free,
		Declined: r.Declined, Open: r.Open, Waves: r.Waves, Unused: r.Unused, Ending: r.Ending,
		Decision: r.Decision,
		Told:     site.JoinedWords(say, r.Counts), Word: r.Word}
	if choice != showTable && choice != showAll {
		page.Show = showOut
	}
	page.Asks = shownAsks(say, r.Asks, "/floor")
	page.Again = "/floor?show=" + page.Show
	slices.SortStableFunc(r.Seats, func(a, b panel.FloorSeat) int { // what stands at the pass gets cold
		return cmp.Or(cmp.Compare(b.Passes, a.Passes), cmp.Compare(b.Waiting, a.Waiting))
	})
	if page.Show == showAll {
		slices.SortFunc(r.Seats, func(a, b panel.FloorSeat) int { return cmp.Compare(a.Label, b.Label) })
	}
	for _, t := range r.Seats {
		just := t.Next.Served && r.Now.Sub(t.Next.ServedAt) < justServed
		if listOf(t) == page.Show || page.Show == showAll || page.Show == showOut && just {
			card := newSeatCard(say, t)
			card.Just = just
			page.Seats = append(page.Seats, card)
		}
		if page.Show == showOut && t.State == panel.SeatReading && !t.Phone {
			page.Reads = append(page.Reads, newSeatCard(say, t))
		}
	}
	page.Groups = groupedByTable(say, page.Seats, page.Show)
	page.Undo = lastSetDown(say, r, page.Seats)
	for _, x := range []roomTab{{showOut, "Waiting", r.Counts.Waiting, false},
		{showTable, "Tasting", r.Counts.Tasting, false},
		{showAll, "Every seat", r.Counts.Joined(), false}} {
		x.Here, x.Words = x.Show == page.Show, say.Translate(x.Words)
		page.Tabs = append(page.Tabs, x)
	}
	return page
}

// listOf says in which list a seat stands, beside that of all.
func listOf(t panel.FloorSeat) string {
	switch {
	case t.State == panel.SeatWaiting:
		return showOut
	case t.State == panel.SeatTasting:
		return showTable
	}
	return ""
}

func newSeatCard(say site.Tongue, t panel.FloorSeat) seatCard {
	return seatCard{
		ID: t.ID, Label: t.Label, Guest: guestWords(say, t), Here: hereWords(say, t), Seat: t.Seat,
		Table: t.Table, At: t.TableSeat, Speaks: tongueOf(say, t),
		State: t.State, Words: standsIn(say, t), Next: t.Next,
		Mark: say.Translate(standings[standingOf(t.State, t)].Mark), Over: t.Over, Of: t.Of,
		With: whoWords(say, t.With), Long: isLong(t), Phone: t.Phone, Lent: t.Lent, Free: t.Free,
		Acts: offered(say, t),
	}
}

// roomEvents streams the floor's list.
func (s *handlers) roomEvents(c *gin.Context) error {
	return s.Stream(c, site.Floor, site.SessionOf(c).StudyID, func() ([]byte, error) {
		page, err := s.roomPage(c)
		if err != nil {
			return nil, err
		}
		if !page.Open {
			return nil, site.ErrOver
		}
		return s.Part(roomScreen.Name, page.Language(), "seats", page)
	})
}
