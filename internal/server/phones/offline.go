package phones

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// wireAhead is what a phone holds to go on without network: the serving in front
// of the assessor, or the name that they read, and later ones sealed under the codes on their plates.
type wireAhead struct {
	Pause float64      `json:"pause"` // seconds between servings
	Rest  float64      `json:"rest"`  // seconds left of the pause that runs
	Now   *wireServing `json:"now,omitempty"`
	Ahead []wireSealed `json:"ahead"`
}

// wireSealed is a [panel.Sealed]; bytes are in base64.
type wireSealed struct {
	ID     string `json:"id"`
	Number int    `json:"number"`
	Of     int    `json:"of"`
	Salt   []byte `json:"salt"`
	Nonce  []byte `json:"nonce"`
	Box    []byte `json:"box"`
}

// wireServing has the form of what is inside a seal; see [panel.Sealed].
type wireServing struct {
	ID      string         `json:"id"`
	Number  int            `json:"number"`
	Of      int            `json:"of"`
	Code    string         `json:"code"`
	Name    string         `json:"name"`
	Asks    []site.AskJSON `json:"asks"`
	Comment string         `json:"comment"`
}

// onOffline is the page of a ballot without network. It has no field for a
// serving: the phone fills in what it opened.
type onOffline struct {
	site.Frame
	Token string
	study.Contents
	Line, Choice panel.Ask // their markup, to be filled in
}

var offlineScreen = site.PhoneScreen[onOffline]("offline")

func (s *handlers) offline(c *gin.Context) error {
	token := c.Param("token")
	b, err := s.Panel.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	page := onOffline{
		Frame: site.BallotFrame(c, b), Token: token, Contents: b.Contents,
		Line: site.BlankLine, Choice: site.BlankChoice,
	}
	page.Languages, page.TextHref = nil, "" // they need the network
	return site.Show(s.Site, c, http.StatusOK, offlineScreen, page)
}

func (s *handlers) ahead(c *gin.Context) error {
	ctx, token := c.Request.Context(), c.Param("token")
	now, err := s.Panel.Ahead(ctx, token)
	if err != nil {
		return err
	}
	b := now.Ballot
	held := wireAhead{Pause: b.Pause.Seconds(), Rest: b.Rinse.Seconds(), Ahead: []wireSealed{}}
	if b.Stage == panel.StageServing || b.Stage == panel.StageNames {
		held.Now = newWireServing(b)
	}
	for _, x := range now.Ahead {
		held.Ahead = append(held.Ahead, wireSealed(x))
	}
	c.JSON(http.StatusOK, held)
	return nil
}

func newWireServing(b panel.Ballot) *wireServing {
	v := b.Serving
	w := &wireServing{ID: v.ID, Number: v.Number, Of: v.Of, Code: v.Code, Name: v.Name, Comment: v.AskComment}
	w.Asks = site.AsksJSON(v.Asks)
	return w
}
