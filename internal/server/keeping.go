package server

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/datapackage"
	"cloche/internal/panel"
)

// keeping is what can be done with a study beside running it, below its page.
type keeping struct {
	ID       string
	Reader   bool
	Archived bool
	Fixed    bool // there is a plan to amend and to show
	Last     bool // no later version rests on it
	Open     bool
	Replaced bool          // a later version is locked: this one is not opened any more
	Versions []versionLine // when there are several
}

type versionLine struct {
	ID, Words, Reason string
	This              bool
}

func versionWords(n int) string { return fmt.Sprintf("version %d", n) }

// keepingOf reads the versions of a study.
func (s *server) keepingOf(c *gin.Context, kept panel.Study) (keeping, error) {
	lines, err := s.svc.Versions(c.Request.Context(), kept.ID)
	if err != nil {
		return keeping{}, err
	}
	k := keeping{ID: kept.ID, Reader: who(c).Role == panel.RolePartner, Archived: !kept.ArchivedAt.IsZero(),
		Fixed: kept.State != panel.Draft, Open: kept.State == panel.Open, Last: lines[len(lines)-1].ID == kept.ID}
	if len(lines) == 1 {
		return k, nil
	}
	for _, v := range lines {
		k.Replaced = k.Replaced || v.Number > kept.Version && v.State != panel.Draft
		k.Versions = append(k.Versions, versionLine{ID: v.ID, Words: fmt.Sprintf("Version %d, %s", v.Number, standing(v)), Reason: amendedWords(v), This: v.ID == kept.ID})
	}
	return k, nil
}

// standing says where a version stands and when it was locked.
func standing(v panel.VersionLine) string {
	switch v.State {
	case panel.Draft:
		return "draft"
	case panel.Locked:
		return "locked " + when(v.LockedAt)
	}
	return v.State.String() + ", locked " + when(v.LockedAt)
}

// amendedWords says why a version was begun; "" for the first.
func amendedWords(v panel.VersionLine) string {
	switch {
	case v.Number == 1:
		return ""
	case v.RatingsBefore == 0:
		return fmt.Sprintf("Begun before any serving of version %d was rated, because: %s", v.Number-1, v.Reason)
	case v.RatingsBefore == 1:
		return fmt.Sprintf("Begun when one serving of version %d was rated, because: %s", v.Number-1, v.Reason)
	}
	return fmt.Sprintf("Begun when %d servings of version %d were rated, because: %s", v.RatingsBefore, v.Number-1, v.Reason)
}

func (s *server) copyStudy(c *gin.Context) error {
	kept, err := s.svc.Copy(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return seeOther(c, "/studies/"+kept.ID)
}

// amendPage asks for the reason of a new version.
type amendPage struct {
	frame
	ID, Study string
	State     string
	Next      int // its number
	Reason    string
	Max       int // characters
	Problems  []problem
}

var amendScreen = screen[amendPage]{"amend", desk}

func (s *server) amendForm(c *gin.Context) error {
	return s.showAmend(c, http.StatusOK, "", nil)
}

func (s *server) showAmend(c *gin.Context, status int, reason string, problems []problem) error {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	keep, err := s.keepingOf(c, kept)
	switch {
	case err != nil:
		return err
	case kept.State == panel.Draft:
		return panel.ErrWrongState
	case !keep.Last:
		return panel.ErrAmended
	}
	page := amendPage{frame: s.deskFrame(c, "Amend", kept.Asked.Invented), ID: kept.ID, Study: titleOf(kept), State: kept.State.String(),
		Next: kept.Version + 1, Reason: reason, Max: panel.MaxReason, Problems: problems}
	page.Narrow = true
	return show(s, c, status, amendScreen, page)
}

func (s *server) amend(c *gin.Context) error {
	reason := c.Request.PostFormValue("reason")
	kept, err := s.svc.Amend(c.Request.Context(), c.Param("id"), reason)
	if errors.Is(err, panel.ErrReason) {
		return s.showAmend(c, http.StatusUnprocessableEntity, reason,
			[]problem{{"reason", fmt.Sprintf("Write why the plan is changed, in at most %d characters.", panel.MaxReason)}})
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/studies/"+kept.ID)
}

// archive puts a study away, or takes it out again.
func (s *server) archive(c *gin.Context) error {
	id := c.Param("id")
	if err := s.svc.Archive(c.Request.Context(), id, c.Request.PostFormValue("out") == ""); err != nil {
		return err
	}
	return seeOther(c, "/studies/"+id)
}

// deletePage says what goes with a study, and asks a second time.
type deletePage struct {
	frame
	ID, Study, State string
	Gone             []string
	Exported         string // when; "" when it has to be exported first
	Refused          string // why it cannot be deleted; "" when it can
	Problems         []problem
}

var deleteScreen = screen[deletePage]{"delete", desk}

func (s *server) deleteForm(c *gin.Context) error { return s.showDelete(c, http.StatusOK, nil) }

func (s *server) showDelete(c *gin.Context, status int, problems []problem) error {
	kept, p, err := s.svc.Progress(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	keep, err := s.keepingOf(c, kept)
	if err != nil {
		return err
	}
	page := deletePage{frame: s.deskFrame(c, "Delete", kept.Asked.Invented), ID: kept.ID, Study: titleOf(kept), State: kept.State.String(),
		Gone: whatGoes(kept, p), Problems: problems}
	page.Narrow = true
	switch {
	case kept.State == panel.Open:
		page.Refused = "People can taste in it now. Close it first."
	case !keep.Last:
		page.Refused = "A later version rests on it, and its report tells of this one. Delete the last version first."
	case !kept.ExportedAt.IsZero():
		page.Exported = when(kept.ExportedAt)
	}
	if page.Exported == "" {
		page.Problems = nil // there is no form to confirm yet
	}
	return show(s, c, status, deleteScreen, page)
}

// whatGoes lists what a deletion takes.
func whatGoes(kept panel.Study, p panel.Progress) []string {
	gone := []string{"the study file, its photos and its log"}
	if kept.State != panel.Draft {
		gone = append(gone, "the serving plan that was locked, with its key")
	}
	if kept.State == panel.Closed {
		gone = append(gone, fmt.Sprintf("the answers of %s to %s, with their comments and the report", counted(p.Joined, "assessor"), counted(p.Servings, "serving")))
	}
	return gone
}

func counted(n int, of string) string {
	if n == 1 {
		return "one " + of
	}
	return fmt.Sprintf("%d %ss", n, of)
}

func (s *server) deleteStudy(c *gin.Context) error {
	if c.Request.PostFormValue("confirm") != "yes" {
		return s.showDelete(c, http.StatusUnprocessableEntity, []problem{{"confirm", "Tick that the download is safe. Nothing was deleted."}})
	}
	if err := s.svc.Delete(c.Request.Context(), who(c), c.Param("id")); err != nil {
		return err
	}
	return seeOther(c, "/studies")
}

// exportZip gives all that there is of a study, without its key before close, and
// notes that it was exported as it stands.
func (s *server) exportZip(c *gin.Context) error {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	files, err := s.exported(c, kept)
	if err != nil {
		return err
	}
	packed, err := datapackage.Zip(files, time.Now())
	if err != nil {
		return err
	}
	if err := s.svc.NoteExport(c.Request.Context(), who(c), kept); err != nil {
		return err
	}
	attach(c, kept, "data.zip")
	write(c, http.StatusOK, "application/zip", packed, nil)
	return nil
}

func (s *server) exported(c *gin.Context, kept panel.Study) ([]datapackage.File, error) {
	ctx := c.Request.Context()
	switch kept.State {
	case panel.Open: // the key stays shut, and more is coming
		return nil, panel.ErrWrongState
	case panel.Closed:
		d, err := Collect(ctx, s.svc, kept, time.Now())
		if err != nil {
			return nil, err
		}
		return datapackage.Files(d)
	}
	lines, err := s.svc.Versions(ctx, kept.ID)
	if err != nil {
		return nil, err
	}
	photos, err := s.svc.Photos(ctx, kept.ID)
	if err != nil || kept.State == panel.Draft {
		return datapackage.StudyFiles(kept, nil, photos), err
	}
	return datapackage.StudyFiles(kept, planSheet(kept, lines), photos), nil
}

// Collect reads what the data package of a closed study is made of, with the plan in
// the words of its page and the notes of its report.
func Collect(ctx context.Context, svc *panel.Service, kept panel.Study, at time.Time) (datapackage.Data, error) {
	d, err := datapackage.Collect(ctx, svc, kept, at)
	if err != nil {
		return d, err
	}
	begun, err := svc.Begun(ctx, kept.ID)
	d.Sheet, d.Notes = planSheet(kept, d.Versions), begunWords(begun)
	return d, err
}

// tableOf gives one table of a closed study's package: the same name, the same bytes.
func (s *server) tableOf(name string) func(*gin.Context) error {
	return func(c *gin.Context) error {
		kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
		if err != nil {
			return err
		}
		if kept.State != panel.Closed {
			return panel.ErrWrongState
		}
		files, err := s.exported(c, kept)
		if err != nil {
			return err
		}
		for _, f := range files {
			if f.Name == name {
				return download(c, kept, "text/csv; charset=utf-8", name, bytes.NewBuffer(f.Bytes))
			}
		}
		return panel.ErrNotFound
	}
}
