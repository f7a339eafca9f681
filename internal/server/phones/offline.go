package phones

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// wireAhead is what a phone holds to go on without network: the turn in front of the
// assessor, and later ones sealed under the codes on their plates.
type wireAhead struct {
	Pause    float64         `json:"pause"`    // seconds between turns
	Rest     float64         `json:"rest"`     // seconds left of the pause that runs
	Answered bool            `json:"answered"` // something was, before that pause
	Now      *panel.TurnView `json:"now,omitempty"`
	Last     *panel.TurnView `json:"last,omitempty"`   // the last question, where the page shows it
	Sealed   *wireSealed     `json:"sealed,omitempty"` // the same until then, under the codes of the last turn
	Ahead    []wireSealed    `json:"ahead"`
}

// wireSealed is a [panel.Sealed]; bytes are in base64.
type wireSealed struct {
	ID     panel.TurnID `json:"id"`
	Number int          `json:"number"`
	Of     int          `json:"of"`
	Plates int          `json:"plates"`
	Codes  int          `json:"codes"` // how many open it
	Salt   []byte       `json:"salt"`
	Nonce  []byte       `json:"nonce"`
	Box    []byte       `json:"box"`
}

// onOffline is the page of a ballot without network. It has no field for a
// turn: the phone fills in what it opened.
type onOffline struct {
	site.Frame
	Token panel.SeatToken
	study.Contents
	TasteOnce bool // what stands on a tray is not tasted again

	OneQuestion bool // of a turn are shown one by one

	Blank site.Blanks
}

var offlineScreen = site.PhoneScreen[onOffline]("phones/offline")

func (s *handlers) offline(c *gin.Context) error {
	token := panel.SeatToken(c.Param("token"))
	b, err := s.Panel.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	if b.Lent { // the tablet keeps nothing ahead for whoever has it next
		return panel.ErrNotFound
	}
	page := onOffline{
		Frame: site.BallotFrame(c, b), Token: token, Contents: b.Contents, TasteOnce: b.TasteOnce,
		OneQuestion: b.OneQuestion, Blank: site.BlankAsks,
	}
	page.Languages, page.TextHref = nil, "" // they need the network
	return site.Show(s.Site, c, http.StatusOK, offlineScreen, page)
}

func (s *handlers) ahead(c *gin.Context) error {
	ctx, token := c.Request.Context(), c.Param("token")
	now, err := s.Panel.Ahead(ctx, panel.SeatToken(token))
	if err != nil {
		return err
	}
	b := now.Ballot
	if b.Lent {
		return panel.ErrNotFound
	}
	held := wireAhead{Pause: b.Pause.Seconds(), Rest: b.Rinse.Seconds(), Answered: b.Answered, Ahead: []wireSealed{}}
	if b.Stage == panel.StageServing || b.Stage == panel.StageNames {
		now := b.Turn.View()
		held.Now = &now
	}
	if b.Stage == panel.StageLast {
		last := b.Turn.View()
		held.Last = &last
	}
	if now.Last != nil {
		sealed := wireSealed(*now.Last)
		held.Sealed = &sealed
	}
	for _, x := range now.Ahead {
		held.Ahead = append(held.Ahead, wireSealed(x))
	}
	c.JSON(http.StatusOK, held)
	return nil
}
