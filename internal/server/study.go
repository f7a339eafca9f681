package server

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/design"
	"cloche/internal/panel"
)

// draft is a study that can still be changed.
type draft struct {
	frame
	ID        string
	Steps     []stepLink // of the builder, for the lead
	Onward    stepLink   // the first step in which something is open, or the one before the lock
	Whole     bool       // nothing is open: Study is filled in
	Study     summary
	CannotRun string    // why this service cannot run it; "" when it can
	Mistakes  []mistake // for the partner, who does not see the steps
	Keep      keeping
}

// locked is a study whose plan is fixed.
type locked struct {
	frame
	Study summary
	Lock  lockWords
	Keep  keeping

	Sittings sittingList
}

// lockWords is what was fixed, for reading.
type lockWords struct {
	ID, At, StudyHash, PlanHash string
	Signed                      string // who countersigned, and when; "" when nobody has
	Seed                        string // "" until close
}

// studyFile is the study file as it was sent.
type studyFile struct {
	frame
	ID, Study, Text string
}

// studyLog is the log of a study.
type studyLog struct {
	frame
	ID, Study string
	Events    []eventLine
}

type eventLine struct{ When, Who, What, Detail string }

var (
	draftScreen  = screen[draft]{"draft", desk}
	lockedScreen = screen[locked]{"locked", desk}
	fileScreen   = screen[studyFile]{"file", desk}
	logScreen    = screen[studyLog]{"log", desk}
)

func (s *server) study(c *gin.Context) error {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	keep, err := s.keepingOf(c, kept)
	if err != nil {
		return err
	}
	switch kept.State {
	case panel.Draft:
		return s.showDraft(c, kept, keep)
	case panel.Locked:
		return s.showLocked(c, kept, keep)
	case panel.Open:
		return s.showOpen(c, kept, keep)
	default:
		return s.showClosed(c, kept, keep)
	}
}

func (s *server) showDraft(c *gin.Context, kept panel.Study, keep keeping) error {
	b := newBuilder(kept)
	page := draft{frame: s.deskFrame(c, titleOf(kept), kept.Asked.Invented), ID: kept.ID, Steps: b.links(), Mistakes: mistakes(kept.File, kept.Problems), Keep: keep}
	page.Onward = stepLink{Href: b.href("see"), Title: "See it first"}
	if open := b.unfinished(); len(open) > 0 {
		page.Onward = open[0]
	}
	if len(b.problems) == 0 {
		plan, reason, err := s.preview(c.Request.Context(), kept.ID)
		if err != nil {
			return err
		}
		page.CannotRun, page.Whole, page.Study = reason, true, summarise(kept, plan)
	}
	return show(s, c, http.StatusOK, draftScreen, page)
}

// titleOf is the title of a study, a draft without one too.
func titleOf(kept panel.Study) string { return cmp.Or(kept.Asked.Title, "Untitled") }

// cannotRun tells a study that cannot be run from a failure of the service.
func cannotRun(err error) (string, bool) {
	var (
		notYet   *panel.NotYetError
		conflict *design.Conflict
	)
	if errors.As(err, &notYet) {
		return sentence(notYet.What) + " " + sentence(notYet.Do), true
	}
	if errors.As(err, &conflict) {
		return sentence(conflict.What) + " " + sentence(conflict.Instead), true
	}
	return "", false
}

func (s *server) showLocked(c *gin.Context, kept panel.Study, keep keeping) error {
	plan, err := kept.FixedPlan()
	if err != nil {
		return err
	}
	sittings, err := s.sittingList(c, kept)
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, lockedScreen, locked{
		frame: s.deskFrame(c, kept.Asked.Title, kept.Asked.Invented),
		Study: summarise(kept, plan), Lock: lockOf(kept), Keep: keep, Sittings: sittings,
	})
}

// lockOf words what was fixed. The seed redraws the key, so it is told with the
// key: after close.
func lockOf(kept panel.Study) lockWords {
	words := lockWords{ID: kept.ID, At: when(kept.Lock.At), StudyHash: kept.Lock.StudyHash, PlanHash: kept.Lock.PlanHash}
	if kept.State == panel.Closed {
		words.Seed = strconv.FormatUint(kept.Lock.Seed, 10)
	}
	if x := kept.Countersigned; !x.At.IsZero() {
		words.Signed = x.Name + ", " + when(x.At)
	}
	return words
}

func (s *server) studyFile(c *gin.Context) error {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return show(s, c, http.StatusOK, fileScreen, studyFile{
		frame: s.deskFrame(c, "Study file", kept.Asked.Invented), ID: kept.ID, Study: titleOf(kept), Text: kept.File,
	})
}

// logPath is the log of the service: what belongs to no study.
const logPath = "/log"

// maxServiceLog is how many entries of the service's log are shown, the newest.
const maxServiceLog = 500

// serviceLog shows who signed in, who tried to, and what else happened to the service.
func (s *server) serviceLog(c *gin.Context) error {
	events, err := s.svc.Events(c.Request.Context(), "")
	if err != nil {
		return err
	}
	page := studyLog{frame: s.deskFrame(c, "The service’s log", false)}
	for _, e := range slices.Backward(events) {
		if len(page.Events) == maxServiceLog {
			break
		}
		page.Events = append(page.Events, eventLine{when(e.At), e.Who, e.What, e.Detail})
	}
	return show(s, c, http.StatusOK, logScreen, page)
}

func (s *server) studyLog(c *gin.Context) error {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	events, err := s.svc.Events(c.Request.Context(), kept.ID)
	if err != nil {
		return err
	}
	page := studyLog{frame: s.deskFrame(c, "Log", kept.Asked.Invented), ID: kept.ID, Study: titleOf(kept)}
	for _, e := range events {
		page.Events = append(page.Events, eventLine{when(e.At), e.Who, e.What, e.Detail})
	}
	return show(s, c, http.StatusOK, logScreen, page)
}
