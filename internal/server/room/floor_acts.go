package room

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// wireAct is what a phone's script reads of an act of the floor. Without an outcome
// an answer is not ours, and the phone sends again.
type wireAct struct {
	Outcome string `json:"outcome"`         // done, repeated, later, incomplete or refused
	Words   string `json:"words,omitempty"` // what floor has to know
	To      string `json:"to,omitempty"`    // the page that follows
}

// mostWaited bounds what a phone says of how long it kept an act.
const mostWaited = 12 * time.Hour

// phoneActOf reads what makes an act of a phone count once.
func phoneActOf(c *gin.Context) panel.PhoneAct {
	o := panel.PhoneAct{ID: c.Request.PostForm.Get("id"), Code: panel.CodesTyped(c.Request.PostForm.Get("code"))}
	if n, err := strconv.Atoi(c.Request.PostForm.Get("waited")); err == nil && n > 0 {
		o.Waited = time.Duration(min(n, int(mostWaited/time.Second))) * time.Second
	}
	return o
}

// acted answers an act: a form with the page that follows, a script with what
// became of it, and with words where the page that follows would have said more.
// What may go better later, such as a database that is away, stays an error.
func acted(c *gin.Context, err error, to, words string) error {
	if !site.WantsJSON(c) {
		if errors.Is(err, panel.ErrRepeated) {
			err = nil
		}
		if err != nil {
			return err
		}
		return site.SeeOther(c, to)
	}
	say := site.TongueOf(c)
	var answers *panel.AnswerError
	status, n := site.ExplainToStaff(say, err)
	switch {
	case err == nil:
		c.JSON(http.StatusOK, wireAct{"done", words, to})
	case errors.Is(err, panel.ErrRepeated):
		c.JSON(http.StatusOK, wireAct{"repeated", "", to})
	case errors.Is(err, panel.ErrNotYet):
		c.JSON(http.StatusConflict, wireAct{"later", n.Text[0], ""})
	case errors.As(err, &answers):
		c.JSON(http.StatusUnprocessableEntity, wireAct{"incomplete",
			say.Translate("Answers are missing or not clear."), ""})
	case status != 0:
		c.JSON(http.StatusConflict, wireAct{"refused", n.Heading + ". " + n.Text[0], ""})
	default:
		return err
	}
	return nil
}

// seatTold is the page of a seat that says what was done.
func seatTold(c *gin.Context, key string, more ...string) string {
	q := url.Values{"told": {key}}
	for i := 0; i+1 < len(more); i += 2 {
		q.Set(more[i], more[i+1])
	}
	return "/floor/seats/" + url.PathEscape(c.Param("seat")) + "?" + q.Encode()
}

// listedAt is where a seat stands in a list of the floor.
func listedAt(c *gin.Context, list string) string {
	if list != showTable && list != showAll {
		list = showOut
	}
	return "/floor?show=" + list + "#seat-" + url.PathEscape(c.Param("seat"))
}

// threeDigits returns a code that an address carries, "" when it is none.
func threeDigits(code string) panel.Code {
	if n, err := strconv.Atoi(code); err != nil || len(code) != 3 || n < 100 {
		return ""
	}
	return panel.Code(code)
}

// setDown notes that what a turn serves is on the table, and goes back to its place in the
// list, where it can be taken back.
func (s *handlers) setDown(c *gin.Context) error {
	err := s.Panel.Serve(c.Request.Context(), site.SessionOf(c), panel.TurnID(c.Param("turn")), phoneActOf(c))
	return acted(c, err, listedAt(c, c.Request.PostForm.Get("list")), "")
}

func (s *handlers) takeBack(c *gin.Context) error {
	err := s.Panel.TakeBack(c.Request.Context(), site.SessionOf(c), panel.TurnID(c.Param("turn")), phoneActOf(c))
	if list := c.Request.PostForm.Get("list"); list != "" {
		return acted(c, err, listedAt(c, list), "")
	}
	return acted(c, err, seatTold(c, "undone"), "")
}

func (s *handlers) dropPlate(c *gin.Context) error {
	o := phoneActOf(c)
	fresh, err := s.Panel.Drop(c.Request.Context(), site.SessionOf(c), panel.ServingID(c.Param("serving")), o)
	return acted(c, err, seatTold(c, "dropped", "was", string(o.Code)), newCode(c, o, fresh.Code))
}

// dropCode drops a plate that the seat's page does not show.
func (s *handlers) dropCode(c *gin.Context) error {
	o := phoneActOf(c)
	fresh, err := s.Panel.DropCode(c.Request.Context(), site.SessionOf(c), site.SeatIn(c), o)
	to := seatTold(c, "dropped", "was", string(o.Code), "fresh", string(fresh))
	return acted(c, err, to, newCode(c, o, fresh))
}

// newCode says what became of the code of a dropped plate.
func newCode(c *gin.Context, o panel.PhoneAct, fresh panel.Code) string {
	say := site.TongueOf(c)
	return say.Translate("The new code is %s: tell the kitchen. A guest’s phone that is still without network opens "+
		"this serving with %s.", fresh, cmp.Or(string(o.Code), say.Translate("the old one")))
}

func (s *handlers) refuse(c *gin.Context) error {
	err := s.Panel.Refuse(c.Request.Context(), site.SessionOf(c), panel.TurnID(c.Param("turn")), phoneActOf(c))
	return acted(c, err, seatTold(c, "refused"), "")
}

// wanted takes back that the guest does not want what a turn serves.
func (s *handlers) wanted(c *gin.Context) error {
	err := s.Panel.TakeBackRefusal(c.Request.Context(), site.SessionOf(c), panel.TurnID(c.Param("turn")), phoneActOf(c))
	return acted(c, err, seatTold(c, "wanted"), "")
}

// notDropped takes back that a plate was dropped.
func (s *handlers) notDropped(c *gin.Context) error {
	_, err := s.Panel.TakeBackDrop(c.Request.Context(), site.SessionOf(c), panel.ServingID(c.Param("serving")),
		phoneActOf(c))
	return acted(c, err, seatTold(c, "whole"), "")
}

func (s *handlers) guestLeft(c *gin.Context) error {
	err := s.Panel.Leave(c.Request.Context(), site.SessionOf(c), site.SeatIn(c), phoneActOf(c))
	return acted(c, err, seatTold(c, "left"), "")
}

func (s *handlers) guestBack(c *gin.Context) error {
	err := s.Panel.Return(c.Request.Context(), site.SessionOf(c), site.SeatIn(c), phoneActOf(c))
	return acted(c, err, seatTold(c, "back"), "")
}

func (s *handlers) cutRinse(c *gin.Context) error {
	over, err := strconv.Atoi(c.Request.PostForm.Get("over"))
	if err != nil {
		over = -1 // no rinse is like that
	}
	err = s.Panel.CutRinse(c.Request.Context(), site.SessionOf(c), site.SeatIn(c), over, phoneActOf(c))
	return acted(c, err, seatTold(c, "rinse"), "")
}

func (s *handlers) noteSeat(c *gin.Context) error {
	err := s.Panel.SetSeat(c.Request.Context(), site.SessionOf(c), site.SeatIn(c), c.Request.PostForm.Get("place"),
		phoneActOf(c))
	return acted(c, err, seatTold(c, "placed"), "")
}

// freeSeat frees the place of a seat; the list follows, where it is no more.
func (s *handlers) freeSeat(c *gin.Context) error {
	if err := s.Panel.FreeSeat(c.Request.Context(), site.SessionOf(c), site.SeatIn(c)); err != nil {
		return err
	}
	return site.SeeOther(c, "/floor?show="+showAll)
}

// returnUnused returns the places that nobody uses.
func (s *handlers) returnUnused(c *gin.Context) error {
	if _, err := s.Panel.ReturnUnused(c.Request.Context(), site.SessionOf(c)); err != nil {
		return err
	}
	return site.SeeOther(c, "/floor?show="+showAll)
}

// moveSeat notes at which table a guest sits from now on.
func (s *handlers) moveSeat(c *gin.Context) error {
	table, err := panel.TableOf(c.Request.PostForm.Get("table"))
	if err == nil {
		err = s.Panel.MoveSeat(c.Request.Context(), site.SessionOf(c), site.SeatIn(c), table, phoneActOf(c))
	}
	return acted(c, err, seatTold(c, "placed"), "")
}
