package desk

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/picture"
	"cloche/internal/report"
	"cloche/internal/server/site"
	"cloche/web"
)

// resultCard is the answer of a closed study on one page, for the kitchen's wall.
type resultCard struct {
	site.Frame
	ID    panel.StudyID
	Card  report.Card
	House string
	Query string // what the pictures' addresses end with
	Drawn bool   // the figure script was built
}

var resultCardScreen = site.DeskScreen[resultCard]("desk/result_card")

// longestHouse bounds what somebody calls their house, in characters.
const longestHouse = 60

// houseAsked is what the address of a card calls the house, "" for nothing.
func houseAsked(c *gin.Context) string {
	house := []rune(strings.Join(strings.Fields(strings.ToValidUTF8(c.Query("house"), "")), " "))
	return string(house[:min(len(house), longestHouse)])
}

func (s *handlers) cardOf(c *gin.Context) (panel.Study, report.Card, error) {
	stored, found, err := s.Panel.Findings(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return stored, report.Card{}, err
	}
	tongue := site.TongueOf(c)
	page := report.Build(stored.Spec, found, report.Options{Tell: tellsIn(tongue),
		LangOf: func(text string) string { return site.LangOf(tongue.Tag(), stored.Spec, text) }})
	return stored, report.CardOf(page, found, tellsIn(tongue), report.Card{House: houseAsked(c),
		Date: tongue.Date(stored.ClosedAt.In(stored.Zone()))}), nil
}

func (s *handlers) resultCard(c *gin.Context) error {
	stored, card, err := s.cardOf(c)
	if err != nil {
		return err
	}
	page := resultCard{Frame: s.StudyFrame(c, stored.Spec.Title, stored.Spec),
		ID: stored.ID, Card: card,
		House: card.House, Drawn: web.FiguresBuilt()}
	if card.House != "" {
		page.Query = "?" + url.Values{"house": {card.House}}.Encode()
	}
	return site.Show(s.Site, c, http.StatusOK, resultCardScreen, page)
}

func (s *handlers) resultSVG(c *gin.Context) error { return s.resultPicture(c, "svg", "image/svg+xml") }
func (s *handlers) resultPNG(c *gin.Context) error { return s.resultPicture(c, "png", "image/png") }

// resultPicture gives the card as a picture to send.
func (s *handlers) resultPicture(c *gin.Context, end, kind string) error {
	stored, card, err := s.cardOf(c)
	if err != nil {
		return err
	}
	drawn, err := card.Picture()
	if err != nil {
		return err
	}
	return sendPicture(c, stored, drawn, "result."+end, kind)
}

func sendPicture(c *gin.Context, stored panel.Study, drawn *picture.Picture, name, kind string) (err error) {
	bytes := drawn.SVG()
	if kind == "image/png" {
		if bytes, err = drawn.PNG(); err != nil {
			return err
		}
	}
	attach(c, stored, name)
	site.Write(c, http.StatusOK, kind, bytes, nil)
	return nil
}

// figure gives a figure of the report as a picture of its own: NAME.svg or NAME.png.
func (s *handlers) figure(c *gin.Context) error {
	stored, found, err := s.Panel.Findings(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	name, end, _ := strings.Cut(c.Param("file"), ".")
	kind, known := map[string]string{"svg": "image/svg+xml", "png": "image/png"}[end]
	beside, err := reportOptions(c.Request.Context(), s.Panel, stored, found)
	if err != nil {
		return err
	}
	page := report.Build(stored.Spec, found, beside)
	for _, f := range page.Figures {
		if f.ID != name || !known {
			continue
		}
		drawn, err := f.Still(page.Invented)
		if err != nil {
			return err
		}
		return sendPicture(c, stored, drawn, name+"."+end, kind)
	}
	return panel.ErrNotFound
}
