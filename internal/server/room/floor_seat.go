package room

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// seatPage is one seat with everything that floor can do there.
type seatPage struct {
	site.StaffFrame
	seatCard
	Told    string     // what was just done
	Typed   bool       // the code of its plate was typed: what stands here was not on the screen before
	Was     panel.Code // code of the plate that was just dropped
	Fresh   panel.Code // the code that a plate ahead of its turn has instead
	Entered string     // id of the serving whose scores were just entered
	Sits    shownAct
	Moves   shownAct
	Tables  []int       // to choose from
	Near    []int       // of these, to which one tap moves the guest
	Ahead   shownAct    // a plate that the page does not show was dropped; its Does is "" where none can be
	Wrong   []wrongTurn // of which something that went wrong can be noted, or was
	Care    panel.GuestTexts
	MayLend bool // the house's tablet may show the guest's ballot, or does
	Asks    bool // the question after the last plate is still to be answered
}

// seatGuest is what floor reads to a guest without a phone.
type seatGuest struct {
	site.StaffFrame
	Nonce    string
	Texts    panel.GuestTexts
	Tongues  []site.LanguageLink // in which it can be read aloud, where there is a choice
	Problems []site.Problem
	Given    panel.GuestConsent
	Tables   []int // to choose from
	Free     int
	Open     bool
}

var (
	seatScreen  = site.StaffScreen[seatPage]("room/seat")
	guestScreen = site.StaffScreen[seatGuest]("room/guest")
)

// told says what a form of the seat's page did; its address carries the key.
var told = map[string]string{
	"dropped":   "Dropped. The plate has a new code: tell the kitchen.",
	"late":      "The study was closed before these scores arrived: they are kept aside and do not count.",
	"aside":     "A later serving was rated first: these scores are kept aside, in the log.",
	"refused":   "Noted. This is what comes next.",
	"wanted":    "Taken back: the guest has this serving after all.",
	"whole":     "Taken back: the plate has its old code again. Tell the kitchen. The spare code is not used again.",
	"left":      "This guest has left. Nothing more is plated.",
	"back":      "This guest is back.",
	"rinse":     "The rinse is over.",
	"placed":    "Noted.",
	"last":      "What the guest said is kept, marked as entered by staff.",
	"last-late": "The study was closed before this arrived: it is kept aside and does not count.",
	"entered":   "The scores are kept, marked as entered by staff.",
	"seated":    "The guest has this number.",
	"wrong":     "Noted. The answers count, and the report says what happened.",
	"right":     "Taken back. The log keeps both.",
	"unwell": "Noted. If somebody is seriously unwell, call the emergency services first. Serve this guest nothing " +
		"more, and find out what is on the plate: kitchen and lead see it at once, floor with one other person (the " +
		"link is at the end of the list).",
	"tablet": "The tablet does not show this guest’s ballot any more.",
	"undone": "Taken back: the plate is not on the table.",
}

// seatIn finds a seat in the floor's own room.
func seatIn(r panel.Room, id panel.AssessorID) (panel.FloorSeat, error) {
	for _, t := range r.Seats {
		if t.ID == id {
			return t, nil
		}
	}
	return panel.FloorSeat{}, panel.ErrNotFound
}

// tastesNoMore reports whether nothing is left for a guest to do.
func tastesNoMore(state panel.SeatState) bool {
	return state == panel.SeatFinished || state == panel.SeatLeft || state == panel.SeatWithdrawn
}

func (s *handlers) floorSeat(c *gin.Context) error {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	if err != nil {
		return err
	}
	t, err := seatIn(r, site.SeatIn(c))
	if err != nil {
		return err
	}
	say := site.TongueOf(c)
	page := seatPage{StaffFrame: site.StaffFrameFor(c, by.Role, "Guest", r.Sitting, r.Invented),
		seatCard: newSeatCard(say, t),
		Told:     say.Translate(told[c.Query("told")]),
		Care:     panel.GuestTexts{Contents: r.Contents}}
	page.Sits, page.Moves = sits.shown(say, t, subject{}), moves.shown(say, t, subject{})
	page.MayLend = r.Open && (t.Lent || t.Asks || !tastesNoMore(t.State))
	page.Near, page.Tables, page.Wrong, page.Asks = nearTables(r), tablesToChoose(r), wentWrong(say, t), t.Asks
	if slices.Contains(droppedAhead.In, standingOf(t.State, t)) {
		page.Ahead = droppedAhead.shown(say, t, subject{})
	}
	page.Title = guestWords(say, t)
	page.Typed, page.Told = typedHere(say, t, threeDigits(c.Query("plate")), r.Now, page.Told)
	page.Was, page.Fresh = threeDigits(c.Query("was")), threeDigits(c.Query("fresh"))
	if entered := c.Query("entered"); len(entered) <= site.MaxToken {
		page.Entered = entered
	}
	return site.Show(s.Site, c, http.StatusOK, seatScreen, page)
}

func (s *handlers) guestForm(c *gin.Context) error {
	page, err := s.guestPage(c)
	if err != nil {
		return err
	}
	if page.Nonce, err = s.Panel.Nonce(); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, guestScreen, page)
}

func (s *handlers) guestPage(c *gin.Context) (seatGuest, error) {
	ctx, by := c.Request.Context(), site.SessionOf(c)
	texts, err := s.Panel.ConsentText(inGuestsTongue(c), by)
	if err != nil {
		return seatGuest{}, err
	}
	r, err := s.Panel.Room(ctx, by)
	return seatGuest{StaffFrame: site.StaffFrameFor(c, by.Role, "Seat a guest", r.Sitting, r.Invented), Texts: texts,
		Tongues: site.LanguageLinks(c, guestReads, texts.Language, texts.Languages),
		Free:    r.Counts.Free, Open: r.Open, Tables: tablesToChoose(r)}, err
}

// guestReads is the field of the form that says in which language a guest reads.
const guestReads = "reads"

// inGuestsTongue is the context of a request about a guest whose language its form or address says.
func inGuestsTongue(c *gin.Context) context.Context {
	return panel.Speaking(c.Request.Context(), cmp.Or(c.PostForm(guestReads), c.Query(guestReads)))
}

// Aloud are the words that are read to the guest.
func (p seatGuest) Aloud() site.Tongue { return site.TongueIn(p.Texts.Language) }

func (s *handlers) seatGuest(c *gin.Context) error {
	nonce, err := site.Nonce(c)
	if err != nil {
		return err
	}
	if no := c.Request.PostFormValue("no"); no != "" { // what is no reason of the list is counted without one
		if err := s.Panel.GuestSaidNo(c.Request.Context(), site.SessionOf(c), nonce, panel.WhyNot(no)); err != nil {
			return err
		}
		return site.SeeOther(c, "/floor")
	}
	given := panel.GuestConsent{AllergensRead: c.Request.PostFormValue("allergens") == "yes",
		ConsentRead: c.Request.PostFormValue("consent") == "yes", OldEnough: c.Request.PostFormValue("age") == "yes"}
	if given.Table, err = panel.TableOf(c.Request.PostFormValue("table")); err != nil {
		return err
	}
	given.Screening, given.Levels = site.ScreeningGiven(c), site.LevelsGiven(c.Request.PostForm)
	t, err := s.Panel.SeatGuest(inGuestsTongue(c), site.SessionOf(c), nonce, given)
	if errors.Is(err, panel.ErrNotRead) {
		page, err := s.guestPage(c)
		if err != nil {
			return err
		}
		say := page.Tongue()
		page.Nonce, page.Given = nonce, given
		if !given.AllergensRead {
			page.Problems = append(page.Problems, site.Problem{Field: "allergens",
				Text: say.Translate("Read the allergens aloud, and tick when the guest can eat all of it.")})
		}
		if page.Texts.Age.Asked && !given.OldEnough {
			page.Problems = append(page.Problems, site.Problem{Field: "age",
				Text: say.Translate("Ask the guest’s age, and tick when it is enough. If it is not, do not seat " +
					"them.")})
		}
		if !given.ConsentRead {
			page.Problems = append(page.Problems, site.Problem{Field: "consent",
				Text: say.Translate("Read the text aloud, and tick when the guest agrees.")})
		}
		for i, q := range page.Texts.Strata {
			page.Texts.Strata[i].Given = given.Levels[q.Field]
			if n := given.Levels[q.Field]; n < 1 || n > len(q.Levels) {
				page.Problems = append(page.Problems, site.Problem{Field: q.Field, Text: groupProblem(say, q)})
			}
		}
		for i, q := range page.Texts.Screening {
			if page.Texts.Screening[i].Given = given.Screening[q.Field]; page.Texts.Screening[i].Given == "" {
				page.Problems = append(page.Problems, site.Problem{Field: q.Field,
					Text: say.Translate("Ask this, and note the answer: %s", q.Text)})
			}
		}
		return site.Show(s.Site, c, http.StatusUnprocessableEntity, guestScreen, page)
	}
	if err != nil {
		return err
	}
	return site.SeeOther(c, "/floor/seats/"+string(t.ID)+"?told=seated")
}

// groupProblem says what to do about a group that was not chosen.
func groupProblem(say site.Tongue, q panel.StratumAsk) string {
	if q.Staff {
		return say.Translate("Choose what is so: %s", q.Text)
	}
	return say.Translate("Ask this, and note the answer: %s", q.Text)
}
