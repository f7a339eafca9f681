package desk

import (
	"bytes"
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// planPage is the plan as it was fixed, on one sheet: on screen, on paper and as text.
type planPage struct {
	site.Frame
	ID      panel.StudyID
	Study   string
	State   string
	Parts   []summary.Part
	Seeded  bool // the seed stands in the study file
	Differs bool // the canonical form has another hash than the one that was fixed
	MaySign bool
	Stamp   stampPart
	planAnswer
}

// planAnswer is what a form of the page was answered.
type planAnswer struct {
	Signer   string // as it was typed, when it comes back
	Problems []site.Problem
	wrong    string // with the file of a time stamp
}

var planScreen = site.DeskScreen[planPage]("desk/plan")

// fixed returns a study whose plan is fixed; [panel.ErrWrongState] of a draft.
func (s *handlers) fixed(c *gin.Context) (panel.Study, error) {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err == nil && stored.State == panel.Draft {
		err = panel.ErrWrongState
	}
	return stored, err
}

func (s *handlers) plan(c *gin.Context) error { return s.showPlan(c, http.StatusOK, planAnswer{}) }

func (s *handlers) showPlan(c *gin.Context, status int, answer planAnswer) error {
	stored, err := s.fixed(c)
	if err != nil {
		return err
	}
	lines, err := s.Panel.Versions(c.Request.Context(), stored.ID)
	if err != nil {
		return err
	}
	stamped, err := s.Panel.Stamped(c.Request.Context(), stored.ID)
	if err != nil {
		return err
	}
	stamp, err := s.stampPart(c, stored, answer.wrong)
	if err != nil {
		return err
	}
	answer.Problems = append(answer.Problems, site.Problems(site.TongueOf(c), stamp.File)...)
	parts := summary.LockedPlan(site.TongueOf(c), stored, lines, stamped)
	_, p, err := s.Panel.Progress(c.Request.Context(), stored.ID)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, status, planScreen, planPage{
		Frame: s.DeskFrame(c, "Plan", stored.Spec), ID: stored.ID, Study: summary.Title(site.TongueOf(c), stored),
		State: stored.State.String(), Parts: parts,
		Seeded: stored.Spec.Serving.HasSeed, Differs: study.Hash(stored.Spec) != stored.Lock.StudyHash,
		MaySign: panel.MayDo(site.SessionOf(c).Role, panel.ActCountersign, stored.State) &&
			stored.Countersigned.At.IsZero() && p.Servings == 0,
		Stamp: stamp, planAnswer: answer,
	})
}

// studyJSON gives the canonical form of the study: the bytes that were hashed.
func (s *handlers) studyJSON(c *gin.Context) error {
	stored, err := s.fixed(c)
	if err != nil {
		return err
	}
	return download(c, stored, "application/json", "study.json", bytes.NewBuffer(study.Canonical(stored.Spec)))
}

// planText gives the sheet as plain text.
func (s *handlers) planText(c *gin.Context) error {
	stored, err := s.fixed(c)
	if err != nil {
		return err
	}
	lines, err := s.Panel.Versions(c.Request.Context(), stored.ID)
	if err != nil {
		return err
	}
	stamped, err := s.Panel.Stamped(c.Request.Context(), stored.ID)
	if err != nil {
		return err
	}
	text := bytes.NewBuffer(summary.PlanText(stored, lines, stamped))
	return download(c, stored, "text/plain; charset=utf-8", "plan.txt", text)
}

// countersign puts the partner's name to the plan.
func (s *handlers) countersign(c *gin.Context) error {
	id, name := c.Param("id"), c.Request.PostFormValue("name")
	err := s.Panel.Countersign(c.Request.Context(), site.SessionOf(c), panel.StudyID(id), name)
	if errors.Is(err, panel.ErrBadValue) {
		return s.showPlan(c, http.StatusUnprocessableEntity, planAnswer{Signer: name,
			Problems: []site.Problem{{Field: "name",
				Text: site.TongueOf(c).Translate("Write the name to sign with, in at most %d characters.",
					panel.MaxSigner)}}})
	}
	if err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+id+"/plan")
}
