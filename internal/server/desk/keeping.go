package desk

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
)

// keeping is what can be done with a study beside running it, below its page.
type keeping struct {
	ID       panel.StudyID
	Reader   bool
	Takes    bool // may download data
	Owner    bool // says who has which role
	Archived bool
	Fixed    bool // there is a plan to amend and to show
	Last     bool // no later version rests on it
	Open     bool
	Replaced bool          // a later version is locked: this one is not opened any more
	Versions []versionLine // when there are several
}

type versionLine struct {
	ID            panel.StudyID
	Words, Reason string
	This          bool
}

func versionWords(w site.Tongue, n int) string { return w.Translate("version %d", n) }

// keepingOf reads the versions of a study.
func (s *handlers) keepingOf(c *gin.Context, stored panel.Study) (keeping, error) {
	lines, err := s.Panel.Versions(c.Request.Context(), stored.ID)
	if err != nil {
		return keeping{}, err
	}
	k := keeping{ID: stored.ID, Reader: site.SessionOf(c).Role != panel.RoleLead,
		Takes: panel.MayDo(site.SessionOf(c).Role, panel.ActExport, stored.State), Owner: site.IsOwner(c),
		Archived: !stored.ArchivedAt.IsZero(),
		Fixed:    stored.State != panel.Draft, Open: stored.State == panel.Open,
		Last: lines[len(lines)-1].ID == stored.ID}
	if len(lines) == 1 {
		return k, nil
	}
	w := site.TongueOf(c)
	for _, v := range lines {
		k.Replaced = k.Replaced || v.Number > stored.Version && v.State != panel.Draft
		k.Versions = append(k.Versions, versionLine{ID: v.ID,
			Words:  w.Translate("Version %d, %s", v.Number, summary.VersionState(w, v)),
			Reason: summary.VersionReason(w, v), This: v.ID == stored.ID})
	}
	return k, nil
}

func (s *handlers) copyStudy(c *gin.Context) error {
	stored, err := s.Panel.Copy(c.Request.Context(), site.SessionOf(c), site.StudyIn(c))
	if err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(stored.ID))
}

// amendPage asks for the reason of a new version.
type amendPage struct {
	site.Frame
	ID       panel.StudyID
	Study    string
	State    string
	Next     int // its number
	Reason   string
	Max      int // characters
	Problems []site.Problem
}

var amendScreen = site.DeskScreen[amendPage]("desk/amend")

func (s *handlers) amendForm(c *gin.Context) error {
	return s.showAmend(c, http.StatusOK, "", nil)
}

func (s *handlers) showAmend(c *gin.Context, status int, reason string, problems []site.Problem) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	keep, err := s.keepingOf(c, stored)
	switch {
	case err != nil:
		return err
	case stored.State == panel.Draft:
		return panel.ErrWrongState
	case !keep.Last:
		return panel.ErrAmended
	}
	page := amendPage{Frame: s.DeskFrame(c, "Amend", stored.Spec), ID: stored.ID,
		Study: summary.Title(site.TongueOf(c), stored),
		State: stored.State.String(),
		Next:  stored.Version + 1, Reason: reason, Max: panel.MaxReason, Problems: problems}
	page.Narrow = true
	return site.Show(s.Site, c, status, amendScreen, page)
}

func (s *handlers) amend(c *gin.Context) error {
	reason := c.Request.PostFormValue("reason")
	stored, err := s.Panel.Amend(c.Request.Context(), site.SessionOf(c), site.StudyIn(c), reason)
	if errors.Is(err, panel.ErrReason) {
		return s.showAmend(c, http.StatusUnprocessableEntity, reason,
			[]site.Problem{{Field: "reason", Text: site.TongueOf(c).Translate("Write why the plan is "+
				"changed, in at most %d characters.", panel.MaxReason)}})
	}
	if err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(stored.ID))
}

// archive puts a study away, or takes it out again.
func (s *handlers) archive(c *gin.Context) error {
	id := site.StudyIn(c)
	if err := s.Panel.Archive(c.Request.Context(), site.SessionOf(c), id,
		c.Request.PostFormValue("out") == ""); err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id))
}

// deletePage says what goes with a study, and asks a second time.
type deletePage struct {
	site.Frame
	ID           panel.StudyID
	Study, State string
	Gone         []string
	Exported     string // when; "" when it has to be exported first
	Closed       bool   // it found something that may stay in the record
	Until        string // not before then, when guests can take out no more answers; "" when that is over
	Keep         bool   // as it was ticked
	Refused      string // why it cannot be deleted; "" when it can
	Problems     []site.Problem
}

var deleteScreen = site.DeskScreen[deletePage]("desk/delete")

func (s *handlers) deleteForm(c *gin.Context) error { return s.showDelete(c, http.StatusOK, nil) }

func (s *handlers) showDelete(c *gin.Context, status int, problems []site.Problem) error {
	stored, p, err := s.Panel.Progress(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	keep, err := s.keepingOf(c, stored)
	if err != nil {
		return err
	}
	page := deletePage{Frame: s.DeskFrame(c, "Delete", stored.Spec), ID: stored.ID,
		Study: summary.Title(site.TongueOf(c), stored),
		State: stored.State.String(), Closed: stored.State == panel.Closed && p.Servings > 0,
		Gone: whatGoes(site.TongueOf(c), stored, p), Problems: problems}
	page.Narrow = true
	page.Keep = status == http.StatusOK || c.Request.PostFormValue("keep") == "yes"
	if s.Panel.MayWithdraw(stored) {
		page.Until = site.TongueOf(c).Moment(stored.WithdrawUntil().In(stored.Zone()))
	}
	switch {
	case stored.State == panel.Open:
		page.Refused = site.TongueOf(c).Translate("People can taste in it now. Close it first.")
	case !keep.Last:
		page.Refused = site.TongueOf(c).Translate("A later version rests on it, and its report tells of this one. " +
			"Delete the last version first.")
	case !stored.ExportedAt.IsZero():
		page.Exported = site.TongueOf(c).Moment(stored.ExportedAt.In(stored.Zone()))
	}
	if page.Exported == "" {
		page.Problems = nil // there is no form to confirm yet
	}
	return site.Show(s.Site, c, status, deleteScreen, page)
}

// whatGoes lists what a deletion takes.
func whatGoes(w site.Tongue, stored panel.Study, p panel.Progress) []string {
	gone := []string{w.Translate("the study file, its photos and its log")}
	if stored.State != panel.Draft {
		gone = append(gone, w.Translate("the serving plan that was locked, with its key"))
	}
	if stored.State == panel.Closed {
		gone = append(gone, w.Translate("all answers (assessors: %d, servings: %d), with their comments and the report",
			p.Joined, p.Servings))
	}
	return gone
}

func (s *handlers) deleteStudy(c *gin.Context) error {
	if c.Request.PostFormValue("confirm") != "yes" {
		return s.showDelete(c, http.StatusUnprocessableEntity,
			[]site.Problem{{Field: "confirm", Text: "Tick that the download is safe. Nothing was deleted."}})
	}
	var say panel.Sayer
	if c.Request.PostFormValue("keep") == "yes" {
		say = SayWholeVerdict
	}
	if err := s.Panel.Delete(c.Request.Context(), site.SessionOf(c), site.StudyIn(c), say); err != nil {
		return err
	}
	return site.SeeOther(c, "/studies")
}
