package server

import (
	"encoding/json"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
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
	ID      string    `json:"id"`
	Number  int       `json:"number"`
	Of      int       `json:"of"`
	Code    string    `json:"code"`
	Name    string    `json:"name"`
	Asks    []wireAsk `json:"asks"`
	Comment string    `json:"comment"`
}

type wireAsk struct {
	Field  string   `json:"field"`
	Text   string   `json:"text"`
	Line   bool     `json:"line"`
	Low    string   `json:"low"`
	High   string   `json:"high"`
	From   float64  `json:"from"`
	To     float64  `json:"to"`
	Number bool     `json:"number"`
	Labels []string `json:"labels"`
}

// onOffline is the page of a ballot without network. It has no field for a
// serving: the phone fills in what it opened.
type onOffline struct {
	frame
	Token string
	study.Contents
	Line, Choice panel.Ask // their markup, to be filled in
}

// blankLine and blankChoice are questions whose markup scripts fill in.
var (
	blankLine   = panel.Ask{Field: "a0", Text: "?", Line: true, Low: "?", High: "?", To: 1}
	blankChoice = panel.Ask{Field: "b0", Text: "?", Labels: []string{"?"}}
)

var offlineScreen = screen[onOffline]{"offline", phone}

func (s *server) offline(c *gin.Context) error {
	token := c.Param("token")
	b, err := s.svc.Ballot(c.Request.Context(), token)
	if err != nil {
		return err
	}
	page := onOffline{
		frame: guestOf(c, b), Token: token, Contents: b.Contents,
		Line: blankLine, Choice: blankChoice,
	}
	page.Languages, page.TextHref = nil, "" // they need the network
	return show(s, c, http.StatusOK, offlineScreen, page)
}

func (s *server) ahead(c *gin.Context) error {
	ctx, token := c.Request.Context(), c.Param("token")
	now, err := s.svc.Ahead(ctx, token)
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
	w.Asks = wireAsks(v.Asks)
	return w
}

func wireAsks(asks []panel.Ask) []wireAsk {
	wire := []wireAsk{}
	for _, a := range asks {
		wire = append(wire, wireAsk{Field: a.Field, Text: a.Text, Line: a.Line, Low: a.Low, High: a.High, From: a.From, To: a.To, Number: a.Number, Labels: a.Labels})
	}
	return wire
}

// cachedAssets are what goes on without network needs, for the ballot and for the
// floor.
var cachedAssets = map[string][]string{
	"ballot": {"cloche.css", "icon.svg", "ahead.js", "asks.js", "ballot.js", "check.js", "draft.js", "keeper.js", "line.js", "offline.js", "once.js", "outbox.js", "rinse.js", "seal.js"},
	"floor": {"cloche.css", "staff.css", "icon.svg", "acts.js", "asks.js", "check.js", "floor.js", "floor_ahead.js", "floor_offline.js", "keeper.js", "kept.js",
		"line.js", "live.js", "once.js", "outbox.js", "seal.js"},
}

// worker serves the service worker, which has to stand outside the versioned
// addresses and names the version that it belongs to.
func (s *server) worker(c *gin.Context) error {
	addresses := map[string][]string{}
	for part, names := range cachedAssets {
		for _, name := range names {
			address, err := s.assets.url(name)
			if err != nil {
				return err
			}
			addresses[part] = append(addresses[part], address)
		}
	}
	list, err := json.Marshal(addresses)
	if err != nil {
		return err
	}
	body := fmt.Appendf(nil, "const VERSION = %q;\nconst ASSETS = %s;\n%s", s.assets.version, list, s.assets.files["worker.js"].plain)
	writePage(c, http.StatusOK, contentType("worker.js"), body)
	return nil
}

// withoutNetwork says to the lead what phones do when the network is away, and why.
func withoutNetwork(secure, local bool) string {
	switch {
	case secure:
		return "Without network, a ballot that was opened once goes on: the service is reached over HTTPS. A later serving opens with the code on its plate."
	case local:
		return "Without network, a ballot that was opened once goes on, on this computer alone. Phones can do that only over HTTPS; over plain HTTP an open page keeps answers, sends them later and waits for the network."
	}
	return "Without network, an open page keeps answers and sends them later, and the next serving waits for the network: over plain HTTP browsers allow no more. With an address that begins with https:// ballots go on."
}
