package server

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
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
	Mistakes []mistake
}

// mistake is a problem of the file with the line that it stands in.
type mistake struct{ ID, Place, Source, What, Instead string }

var textScreen = screen[fileStep]{"build_text", desk}

// mistakes puts problems beside the lines that they stand in.
func mistakes(text string, problems []study.Problem) []mistake {
	var list []mistake
	seen := map[int]bool{}
	source := strings.Split(text, "\n")
	for _, p := range problems {
		m := mistake{Place: "The whole file", What: sentence(p.What), Instead: sentence(p.Instead)}
		if p.Line > 0 {
			m.Place = fmt.Sprintf("Line %d, column %d", p.Line, p.Column)
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

func rowsFor(text string) int { return min(max(strings.Count(text, "\n")+2, fewRows), manyRows) }

// textBuilder opens the file itself as a step.
func (s *server) textBuilder(c *gin.Context) (*builder, error) {
	b, err := s.builder(c, steps()[0].name)
	if err != nil {
		return nil, err
	}
	b.step, b.place = step{name: textStep, title: "The file itself"}, 0
	return b, nil
}

func (s *server) showText(c *gin.Context, status int, b *builder, text string) error {
	page := fileStep{building: s.building(c, b), Text: text, Rows: rowsFor(text), Mistakes: mistakes(text, b.problems)}
	page.Wrong, page.Open, page.Lost = nil, nil, nil // they stand in the list of mistakes
	for _, x := range b.refused {
		page.Wrong = append(page.Wrong, remark{"#text", x.Text})
	}
	return show(s, c, status, textScreen, page)
}

func (s *server) editText(c *gin.Context) error {
	b, err := s.textBuilder(c)
	if errors.Is(err, errDraftGone) {
		return seeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	return s.showText(c, http.StatusOK, b, b.kept.File)
}

// saveText keeps the text as it is, mistakes and all.
func (s *server) saveText(c *gin.Context) error {
	b, err := s.textBuilder(c)
	if errors.Is(err, errDraftGone) {
		return seeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	_, text, err := typed(c.Request)
	if err != nil {
		return err
	}
	b.sent = c.Request.PostForm
	if _, ok := b.sent["text"]; !ok { // undo and redo of a form that lost its text
		text = b.kept.File
	}
	if unixLines(b.kept.File) == text { // browsers send CR LF, whatever the file has
		text = b.kept.File
	}
	if b.sent.Get("revision") != itoa(b.kept.Revision) {
		merged := false
		if text, merged = b.mergeText(text); !merged {
			b.stale = true
			return s.showText(c, http.StatusConflict, b, text)
		}
	}
	return s.keepText(c, b, text)
}

func (s *server) keepText(c *gin.Context, b *builder, text string) error {
	kept, err := s.svc.SaveDraft(c.Request.Context(), b.kept.ID, b.kept.Revision, []byte(text))
	switch {
	case errors.Is(err, panel.ErrBadValue):
		b.refuse("", err)
		return s.showText(c, http.StatusUnprocessableEntity, b, text)
	case errors.Is(err, panel.ErrStale):
		return s.saveText(c)
	}
	if err == nil {
		err = s.stepBack(c, b, kept)
	}
	if err != nil {
		return err
	}
	return seeOther(c, b.href(textStep)+"?saved="+savedWord(b.sent.Get("do")))
}
