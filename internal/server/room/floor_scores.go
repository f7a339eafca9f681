package room

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// scoresPage is the ballot of one turn, for floor to fill in on a guest's
// behalf.
type scoresPage struct {
	site.StaffFrame
	Guest     string
	Act       shownAct
	TasteOnce bool // what stands on a tray is not tasted again
	Turn      panel.BallotTurn
	Nonce     string
	Wrong     []panel.Ask
	Typed     string // the code of its plate, where that opens it
}

// scoresGate asks for the code on the plate before the questions of a turn appear.
type scoresGate struct {
	site.StaffFrame
	Guest string
	Seat  panel.AssessorID
	Turn  panel.TurnID
	Wrong bool
	Tray  bool
}

var (
	scoresScreen     = site.StaffScreen[scoresPage]("room/scores")
	scoresGateScreen = site.StaffScreen[scoresGate]("room/scores_gate")
)

func (s *handlers) scoresForm(c *gin.Context) error {
	typed := c.Query("code")
	if len(typed) > site.MaxToken {
		return site.ErrForm
	}
	ballot, err := s.Panel.FloorBallot(c.Request.Context(), site.SessionOf(c), panel.TurnID(c.Param("turn")), typed)
	if errors.Is(err, panel.ErrOtherCode) {
		return s.askPlate(c, typed != "")
	}
	if err != nil {
		return err
	}
	nonce, err := s.Panel.Nonce()
	if err != nil {
		return err
	}
	return s.showScores(c, http.StatusOK, ballot, nonce)
}

// askPlate asks for the code on the plate; wrong when another was typed.
func (s *handlers) askPlate(c *gin.Context, wrong bool) error {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	if err != nil {
		return err
	}
	t, err := seatIn(r, site.SeatIn(c))
	if err != nil {
		return err
	}
	status := http.StatusOK
	if wrong {
		status = http.StatusUnprocessableEntity
	}
	return site.Show(s.Site, c, status, scoresGateScreen, scoresGate{
		StaffFrame: site.StaffFrameFor(c, by.Role, "Scores", r.Sitting, r.Invented),
		Guest:      guestWords(site.TongueOf(c), t), Seat: t.ID,
		Turn: panel.TurnID(c.Param("turn")), Wrong: wrong, Tray: t.Next.Gate > 1})
}

func (s *handlers) showScores(c *gin.Context, status int, ballot panel.BallotTurn, nonce string) error {
	by := site.SessionOf(c)
	r, err := s.Panel.Room(c.Request.Context(), by)
	if err != nil {
		return err
	}
	t, err := seatIn(r, site.SeatIn(c))
	if err != nil {
		return err
	}
	page := scoresPage{StaffFrame: site.StaffFrameFor(c, by.Role, "Scores", r.Sitting, r.Invented),
		Guest:     guestWords(site.TongueOf(c), t),
		TasteOnce: r.TasteOnce,
		Turn:      ballot, Nonce: nonce, Wrong: site.WrongAnswers(ballot),
		Typed: cmp.Or(c.Query("code"), c.PostForm("code")),
		Act:   answers(ballot).shown(site.TongueOf(c), t, subject{turn: ballot.ID, code: ballot.Code})}
	return site.Show(s.Site, c, status, scoresScreen, page)
}

// answers is the act that the answers to a turn are.
func answers(turn panel.BallotTurn) floorAct {
	of := ofTurn
	if turn.Read {
		of = ofName
	}
	return floorActs[slices.IndexFunc(floorActs, func(a floorAct) bool { return a.Asks && a.Of == of })]
}

func (s *handlers) enterScores(c *gin.Context) error {
	id := c.Request.PostForm.Get("id") // made by the phone
	if id == "" {
		var err error
		if id, err = site.Nonce(c); err != nil {
			return err
		}
	}
	sub := panel.Submission{ID: id, TurnID: panel.TurnID(c.Param("turn")), Given: map[string]string{},
		Code: c.Request.PostFormValue("code"), Comment: c.Request.PostFormValue("comment")}
	for name := range c.Request.PostForm {
		sub.Given[name] = strings.Join(c.Request.PostForm[name], panel.BetweenAnswers)
	}
	receipt, err := s.Panel.Enter(c.Request.Context(), site.SessionOf(c), sub)
	var answers *panel.AnswerError
	if errors.As(err, &answers) && !site.WantsJSON(c) {
		return s.showScores(c, http.StatusUnprocessableEntity, receipt.Back.Turn, id)
	}
	if receipt.Outcome == panel.Repeated {
		err = panel.ErrRepeated
	}
	if receipt.Outcome == panel.TooLate {
		return acted(c, err, seatTold(c, "aside"), site.TongueOf(c).Translate(told["aside"]))
	}
	if receipt.Outcome == panel.AfterClose {
		return acted(c, err, seatTold(c, "late"), site.TongueOf(c).Translate(told["late"]))
	}
	return acted(c, err, seatTold(c, "entered", "entered", string(sub.TurnID)), "")
}
