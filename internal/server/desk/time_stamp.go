package desk

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/stamp"
)

// stampPart is the part of the plan's page about a time stamp of an outside authority.
type stampPart struct {
	May       bool // ask for one, and bring the answer
	Requested bool
	Stamped   bool
	File      site.Field
}

// stampPart says how far the time stamp of a plan is; wrong is what was wrong with the answer
// that was just chosen.
func (s *handlers) stampPart(c *gin.Context, stored panel.Study, wrong string) (stampPart, error) {
	kept, err := s.Panel.TimeStamp(c.Request.Context(), stored.ID)
	return stampPart{May: panel.MayDo(site.SessionOf(c).Role, panel.ActStamp, stored.State),
		Requested: len(kept.Request) > 0, Stamped: len(kept.Answer) > 0,
		File: site.Field{ID: "file", Label: "Answer of the authority",
			Hint:    "The file that came back, .tsr. It is checked, kept, and cannot be changed afterwards.",
			Problem: wrong}}, err
}

// requestStamp makes the request for a time stamp, and sends nothing anywhere.
func (s *handlers) requestStamp(c *gin.Context) error {
	id := site.StudyIn(c)
	if err := s.Panel.RequestStamp(c.Request.Context(), site.SessionOf(c), id); err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id)+"/plan#time-stamp")
}

// keepStamp takes the answer of an authority, and says what is wrong with one that is none.
func (s *handlers) keepStamp(c *gin.Context) error {
	id := site.StudyIn(c)
	answer, err := stampFile(c)
	if err == nil {
		err = s.Panel.KeepStamp(c.Request.Context(), site.SessionOf(c), id, answer)
	}
	var refused *stamp.Refusal
	if errors.As(err, &refused) {
		w := site.TongueOf(c)
		return s.showPlan(c, http.StatusUnprocessableEntity, planAnswer{wrong: site.Sentence(w.Translate(refused.What,
			refused.Values...)) + " " + site.Sentence(w.Translate(refused.Instead))})
	}
	if err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id)+"/plan#time-stamp")
}

// stampFile is the answer that was chosen, as far as one can be long.
func stampFile(c *gin.Context) ([]byte, error) {
	file, _, err := c.Request.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) {
		return nil, nil // refused where other files are that are no answers
	}
	if err != nil {
		return nil, fmt.Errorf("%w: %w", site.ErrForm, err)
	}
	defer file.Close()
	b, err := io.ReadAll(io.LimitReader(file, stamp.MaxAnswer+1))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", site.ErrForm, err)
	}
	return b, nil
}

func (s *handlers) stampRequest(c *gin.Context) error {
	return s.stampOf(c, "application/timestamp-query", "time-stamp.tsq",
		func(t panel.TimeStamp) []byte { return t.Request })
}

func (s *handlers) stampAnswer(c *gin.Context) error {
	return s.stampOf(c, "application/timestamp-reply", "time-stamp.tsr",
		func(t panel.TimeStamp) []byte { return t.Answer })
}

// stampOf gives a file of a time stamp; [panel.ErrNotFound] until it is there.
func (s *handlers) stampOf(c *gin.Context, kind, name string, of func(panel.TimeStamp) []byte) error {
	stored, err := s.fixed(c)
	if err != nil {
		return err
	}
	kept, err := s.Panel.TimeStamp(c.Request.Context(), stored.ID)
	if err != nil {
		return err
	}
	b := of(kept)
	if len(b) == 0 {
		return panel.ErrNotFound
	}
	return download(c, stored, kind, name, bytes.NewBuffer(b))
}

// lockedSums gives what is stamped.
func (s *handlers) lockedSums(c *gin.Context) error {
	stored, err := s.fixed(c)
	if err != nil {
		return err
	}
	return download(c, stored, "text/plain; charset=utf-8", "locked.sha256", bytes.NewBuffer(panel.LockedSums(stored)))
}
