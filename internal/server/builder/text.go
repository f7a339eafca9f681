package builder

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// The height of the text area, in lines.
const (
	fewRows  = 14
	manyRows = 40
)

// fileStep is the study file in a text area.
type fileStep struct {
	building
	Text     string
	Rows     int
	Mistakes []Mistake
}

// Mistake is a problem of the file with the line that it stands in.
type Mistake struct{ ID, Place, Source, What, Instead string }

var textScreen = site.DeskScreen[fileStep]("builder/text")

// Mistakes puts problems beside the lines that they stand in.
func Mistakes(w site.Tongue, text string, problems []study.Problem) []Mistake {
	var list []Mistake
	seen := map[int]bool{}
	source := strings.Split(text, "\n")
	for _, p := range problems {
		m := Mistake{Place: w.Translate("The whole file"), What: site.Sentence(w.Tell(p.What)),
			Instead: site.Sentence(w.Tell(p.Instead))}
		if p.Line > 0 {
			m.Place = w.Translate("Line %d, column %d", p.Line, p.Column)
			if !seen[p.Line] {
				m.ID = fmt.Sprintf("line-%d", p.Line)
			}
			seen[p.Line] = true
		}
		if p.Line > 0 && p.Line <= len(source) {
			m.Source = strings.TrimRight(source[p.Line-1], "\r")
		}
		list = append(list, m)
	}
	return list
}

func RowsFor(text string) int { return min(max(strings.Count(text, "\n")+2, fewRows), manyRows) }

// textBuilder opens the file itself as a step.
func (s *handlers) textBuilder(c *gin.Context) (*builder, error) {
	b, err := s.builder(c, steps()[0].name)
	if err != nil {
		return nil, err
	}
	b.step = step{name: textStep, title: "The file itself"}
	return b, nil
}

func (s *handlers) showText(c *gin.Context, status int, b *builder, text string) error {
	page := fileStep{building: s.building(c, b), Text: text, Rows: RowsFor(text),
		Mistakes: Mistakes(b.tongue, text, b.Problems)}
	page.Wrong, page.Open, page.Lost = nil, nil, nil // they stand in the list of mistakes
	for _, x := range b.refused {
		page.Wrong = append(page.Wrong, remark{"#text", x.Text})
	}
	return site.Show(s.Site, c, status, textScreen, page)
}

func (s *handlers) editText(c *gin.Context) error {
	b, err := s.textBuilder(c)
	if errors.Is(err, errDraftGone) {
		return site.SeeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	return s.showText(c, http.StatusOK, b, b.saved.File)
}

// saveText keeps the text as it is, mistakes and all.
func (s *handlers) saveText(c *gin.Context) error {
	b, err := s.textBuilder(c)
	if errors.Is(err, errDraftGone) {
		return site.SeeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	_, text, err := site.TypedText(c.Request)
	if err != nil {
		return err
	}
	b.sent = c.Request.PostForm
	if _, ok := b.sent["text"]; !ok { // undo and redo of a form that lost its text
		text = b.saved.File
	}
	if unixLines(b.saved.File) == text { // browsers send CR LF, whatever the file has
		text = b.saved.File
	}
	if b.sent.Get("revision") != strconv.Itoa(b.saved.Revision) {
		merged := false
		if text, merged = b.mergeText(text); !merged {
			b.stale = true
			return s.showText(c, http.StatusConflict, b, text)
		}
	}
	return s.keepText(c, b, text)
}

func (s *handlers) keepText(c *gin.Context, b *builder, text string) error {
	stored, err := s.Panel.SaveDraft(c.Request.Context(), site.SessionOf(c), b.saved.ID, b.saved.Revision, []byte(text))
	switch {
	case errors.Is(err, panel.ErrBadValue):
		b.refuse("", err)
		return s.showText(c, http.StatusUnprocessableEntity, b, text)
	case errors.Is(err, panel.ErrStale):
		return s.saveText(c)
	}
	if err == nil {
		err = s.stepBack(c, b, stored)
	}
	if err != nil {
		return err
	}
	return site.SeeOther(c, b.Href(textStep)+"?saved="+savedWord(b.sent.Get("do")))
}
