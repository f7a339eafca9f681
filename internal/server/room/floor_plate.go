package room

import (
	"math"
	"net/http"
	"net/url"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// pad is where floor types the code on the plate in the hand.
type pad struct{ Code, Wrong string }

// Keys are the digits above the last row.
func (pad) Keys() []int { return []int{1, 2, 3, 4, 5, 6, 7, 8, 9} }

// undoSteps is how many of the plates that were set down last can be taken back from the list.
const undoSteps = 5

// plateTyped leads from the code on a plate to the seat that it is for, where its name
// stands and it is set down; or says on the list why it is not set down now.
func (s *handlers) plateTyped(c *gin.Context) error {
	typed := c.Query("code")
	if len(typed) > site.MaxToken {
		typed = ""
	}
	plate, err := s.Panel.PlateInHand(c.Request.Context(), site.SessionOf(c), firstCode(typed))
	if err != nil {
		return err
	}
	if plate.Fate == panel.FateDue || plate.Fate == panel.FateOnTable {
		return site.SeeOther(c, "/floor/seats/"+url.PathEscape(string(plate.SeatID))+"?plate="+string(plate.Code))
	}
	page, err := s.roomPage(c)
	if err != nil {
		return err
	}
	page.Pad = pad{typed, plateWords(page.Tongue(), plate)}
	if firstCode(typed) == "" {
		page.Pad.Wrong = page.Tongue().Translate("Type the three digits on the plate.")
	}
	return site.Show(s.Site, c, http.StatusOK, roomScreen, page)
}

// firstCode is the first code in what was typed, "" when there is none: one plate of a
// tray says whose the tray is.
func firstCode(typed string) panel.Code {
	for i := 0; i+3 <= len(typed); i++ {
		if code := threeDigits(typed[i : i+3]); code != "" {
			return code
		}
	}
	return ""
}

// plateWords say of a plate that is not set down now what is so, and what to do.
func plateWords(say site.Tongue, p panel.PlateInHand) string {
	guest := plateFor(say, p)
	called := func(number int) string { return turnWords(say, p.Tray, number) }
	switch p.Fate {
	case panel.FateReplaced:
		return say.Translate("%s was dropped: its serving has the code %s now. Take this plate back to the kitchen.",
			p.Code,
			p.Fresh)
	case panel.FateNobodys:
		return say.Translate("%s is for a place that nobody has yet. Take it back to the kitchen.", p.Code)
	case panel.FateGone:
		return say.Translate("%s is for %s, who has left. Take it back to the kitchen.", p.Code, guest)
	case panel.FateRated:
		return say.Translate("%s was for %s. It was served and rated: it is over. Look at the digits again.", p.Code,
			guest)
	case panel.FateRefused:
		return say.Translate("%s is for %s, who did not want it. If they want it after all, open their page.",
			p.Code, guest)
	case panel.FateEarly:
		first := "%s comes first."
		if p.Tastes {
			first = "%s comes first, and it is on the table."
		}
		return say.Translate("%s is %s, for %s. %s Keep this plate.", p.Code, called(p.Number), guest,
			site.Sentence(say.Translate(first, called(p.First))))
	case panel.FateSoon:
		return say.Translate("%s is for %s, %s. Keep it until they are ready.", p.Code, guest, soonWords(say, p))
	case panel.FateUnknown, panel.FateDue, panel.FateOnTable:
	}
	return say.Translate("No plate of this sitting has the code %s. Look at the digits again, or ask the kitchen.",
		p.Code)
}

// soonWords say what the guest of a plate that comes next is at.
func soonWords(say site.Tongue, p panel.PlateInHand) string {
	switch p.State {
	case panel.SeatRinsing:
		return say.Translate("who rinses for %d s more", int(math.Ceil(p.Left.Seconds())))
	case panel.SeatStarting:
		return say.Translate("who still reads the instructions")
	case panel.SeatReading:
		return say.Translate("who reads the names first")
	case panel.SeatElsewhere:
		return say.Translate("who goes on at another sitting first")
	case panel.SeatWaiting, panel.SeatTasting, panel.SeatFinished, panel.SeatLeft, panel.SeatWithdrawn,
		panel.SeatStopped:
	}
	return say.Translate("who is not ready yet")
}

// turnWords name a turn within a sentence.
func turnWords(say site.Tongue, tray bool, number int) string {
	if tray {
		return say.Translate("tray %d", number)
	}
	return say.Translate("serving %d", number)
}

// tongueOf is the language that a guest reads, by its name, "" where that is not known.
func tongueOf(say site.Tongue, t panel.FloorSeat) string {
	if t.Tongue == "" {
		return ""
	}
	return say.Translate(study.LanguageName(t.Tongue))
}

// typedHere says whether a seat's page was reached by a code that was typed, and what has
// to be said where that plate is on the table already.
func typedHere(say site.Tongue, t panel.FloorSeat, code panel.Code, now time.Time, told string) (bool, string) {
	if !slices.ContainsFunc(t.Next.Plates, func(p panel.FloorPlate) bool { return p.Code == code }) {
		return false, told
	}
	if t.Next.Served && told == "" {
		told = say.Translate("%s is on the table here (%s).", code, site.Minutes(say, now.Sub(t.Next.ServedAt)))
	}
	return true, told
}

// lastSetDown offers to take back the plates that were set down last and have no card
// in the list.
func lastSetDown(say site.Tongue, r panel.Room, listed []seatCard) []shownAct {
	seats := slices.DeleteFunc(slices.Clone(r.Seats), func(t panel.FloorSeat) bool { return !t.Next.Served })
	slices.SortStableFunc(seats, func(a, b panel.FloorSeat) int { return b.Next.ServedAt.Compare(a.Next.ServedAt) })
	var undo []shownAct
	for _, t := range seats[:min(undoSteps, len(seats))] {
		if slices.ContainsFunc(listed, func(card seatCard) bool { return card.ID == t.ID }) {
			continue
		}
		for _, act := range newSeatCard(say, t).Acts {
			if act.Card != "" && !act.Main {
				act.Text = say.Translate("Take back %s (%s)", t.Next.Code, guestWords(say, t))
				undo = append(undo, act)
			}
		}
	}
	return undo
}
