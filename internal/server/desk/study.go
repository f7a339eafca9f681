package desk

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/builder"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
)

// draft is a study that can still be changed.
type draft struct {
	site.Frame
	ID        panel.StudyID
	Steps     []builder.StepLink // of the builder, for the lead
	Onward    builder.StepLink   // the first step in which something is open, or the one before the lock
	Whole     bool               // nothing is open: Study is filled in
	Study     summary.Study
	CannotRun string // why this service cannot run it; "" when it can
	See       summary.See
	Mistakes  []builder.Mistake // for the partner, who does not see the steps
	Quick     string            // the page of all answers; "" where quick start does not hold the study
	Keep      keeping
}

// locked is a study whose plan is fixed.
type locked struct {
	site.Frame
	Study summary.Study
	See   summary.See
	Lock  lockWords
	Keep  keeping

	Sittings sittingList
}

// lockWords is what was fixed, for reading.
type lockWords struct {
	ID                      panel.StudyID
	At, StudyHash, PlanHash string
	Signed                  string // who countersigned, and when; "" when nobody has
	Seed                    string // "" until close
}

// studyFile is the study file as it was sent.
type studyFile struct {
	site.Frame
	ID          panel.StudyID
	Study, Text string
}

var (
	draftScreen  = site.DeskScreen[draft]("desk/draft")
	lockedScreen = site.DeskScreen[locked]("desk/locked")
	fileScreen   = site.DeskScreen[studyFile]("desk/file")
)

func (s *handlers) study(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	keep, err := s.keepingOf(c, stored)
	if err != nil {
		return err
	}
	switch stored.State {
	case panel.Draft:
		return s.showDraft(c, stored, keep)
	case panel.Locked:
		return s.showLocked(c, stored, keep)
	case panel.Open:
		return s.showOpen(c, stored, keep)
	default:
		return s.showClosed(c, stored, keep)
	}
}

func (s *handlers) showDraft(c *gin.Context, stored panel.Study, keep keeping) error {
	w := site.TongueOf(c)
	b := builder.Open(stored, w)
	page := draft{Frame: s.StudyFrame(c, summary.Title(site.TongueOf(c), stored), stored.Spec), ID: stored.ID,
		Steps:    b.Links(),
		Mistakes: builder.Mistakes(w, stored.File, stored.Problems), See: summary.SeeOf(stored), Keep: keep}
	page.Onward = builder.StepLink{Href: b.Href("see"), Title: w.Translate("See it first")}
	if open := b.Unfinished(); len(open) > 0 {
		page.Onward = open[0]
	}
	if b.IsQuick() {
		page.Quick = b.QuickHref("")
	}
	if len(b.Problems) == 0 {
		plan, reason, err := builder.PreviewPlan(c.Request.Context(), w, s.Panel, stored.ID)
		if err != nil {
			return err
		}
		page.CannotRun, page.Whole, page.Study = reason, true, summary.Of(site.TongueOf(c), stored, plan)
	}
	return site.Show(s.Site, c, http.StatusOK, draftScreen, page)
}

func (s *handlers) showLocked(c *gin.Context, stored panel.Study, keep keeping) error {
	plan, err := stored.FixedPlan()
	if err != nil {
		return err
	}
	sittings, err := s.sittingList(c, stored)
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, lockedScreen, locked{
		Frame: s.StudyFrame(c, stored.Spec.Title, stored.Spec),
		Study: summary.Of(site.TongueOf(c), stored, plan), See: summary.SeeOf(stored),
		Lock: lockOf(site.TongueOf(c), stored), Keep: keep,
		Sittings: sittings,
	})
}

// lockOf words what was fixed. The seed redraws the key, so it is told with the
// key: after close.
func lockOf(w site.Tongue, stored panel.Study) lockWords {
	words := lockWords{ID: stored.ID, At: w.Moment(stored.Lock.At.In(stored.Zone())), StudyHash: stored.Lock.StudyHash,
		PlanHash: stored.Lock.PlanHash}
	if stored.State == panel.Closed {
		words.Seed = strconv.FormatUint(stored.Lock.Seed, 10)
	}
	if x := stored.Countersigned; !x.At.IsZero() {
		words.Signed = x.Name + ", " + w.Moment(x.At.In(stored.Zone()))
	}
	return words
}

func (s *handlers) studyFile(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, fileScreen, studyFile{
		Frame: s.DeskFrame(c, "Study file", stored.Spec), ID: stored.ID, Study: summary.Title(site.TongueOf(c), stored),
		Text: stored.File,
	})
}
