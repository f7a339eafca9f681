package desk

import (
	"html/template"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/help"
	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// Help pages say nothing of any study: whoever serves or plates reads them too, signed in or not.
func (s *handlers) helpFrame(c *gin.Context, title string) (site.Frame, error) {
	in, err := s.SignedIn(c)
	if !in {
		frame := site.DoorFrame(c, title)
		frame.Narrow = false
		return frame, err
	}
	return s.DeskFrame(c, title, nil), err
}

// helpPage is the list of help pages, what a search found, or one of them.
type helpPage struct {
	site.Frame
	Topics []help.Topic
	Query  string
	Hits   []help.Hit
	Here   string // the page that is shown; "" = none
	Text   template.HTML
	TextIn string // its language, where that is another than the reader's; else ""

	Sections []help.Section
}

// In is the language of a page or of what was found on it, where it is another than the reader's.
func (p helpPage) In(of string) string { return site.OtherThan(p.Language(), of) }

var helpScreen = site.DeskScreen[helpPage]("desk/help")

// help lists the pages, or the paragraphs that hold what is searched for.
func (s *handlers) help(c *gin.Context) error {
	frame, err := s.helpFrame(c, "Help")
	if err != nil {
		return err
	}
	page := helpPage{Frame: frame, Query: strings.TrimSpace(c.Query("q"))}
	page.Query = strings.ToValidUTF8(page.Query[:min(len(page.Query), maxQuery)], "")
	if page.Hits, err = help.Search(page.Language(), page.Query); err != nil {
		return err
	}
	if page.Topics, err = help.Topics(page.Language()); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, helpScreen, page)
}

func (s *handlers) helpTopic(c *gin.Context) error {
	topic, ok, err := help.Find(site.TongueOf(c).Tag(), c.Param("topic"))
	if err != nil {
		return err
	}
	if !ok {
		return panel.ErrNotFound
	}
	page := helpPage{Here: topic.ID}
	if page.Frame, err = s.helpFrame(c, topic.Title); err != nil {
		return err
	}
	if page.Text, err = topic.HTML(); err != nil {
		return err
	}
	page.TextIn, page.Sections = page.In(topic.Lang), help.Sections(page.Text)
	if page.Topics, err = help.Topics(page.Language()); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, helpScreen, page)
}
