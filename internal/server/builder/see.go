package builder

import (
	"context"
	"errors"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// seeStep is what the study will do, before it is locked.
type seeStep struct {
	building
	Unfinished []StepLink    // the steps in which something is open
	CannotRun  string        // why this service cannot run it; "" when it can
	Study      summary.Study // empty while something is open
	See        summary.See
}

// lockStep is where the study is locked.
type lockStep struct {
	building
	Unfinished []StepLink
	CannotRun  string
	Doubts     []remark       // what to look at before it is too late; nothing is wrong
	Sheet      []summary.Part // what will be fixed
	Hash       string         // of the study
}

var (
	seeScreen  = site.DeskScreen[seeStep]("builder/see")
	lockScreen = site.DeskScreen[lockStep]("builder/lock")
)

func showSee(s *handlers, c *gin.Context, status int, b *builder) error {
	page := seeStep{building: s.building(c, b), Unfinished: b.Unfinished(), See: summary.SeeOf(b.saved)}
	if len(page.Unfinished) > 0 {
		return site.Show(s.Site, c, status, seeScreen, page)
	}
	plan, reason, err := PreviewPlan(c.Request.Context(), b.tongue, s.Panel, b.saved.ID)
	if err != nil {
		return err
	}
	page.CannotRun, page.Study = reason, summary.Of(b.tongue, b.saved, plan)
	return site.Show(s.Site, c, status, seeScreen, page)
}

func showLockStep(s *handlers, c *gin.Context, status int, b *builder) error {
	page := lockStep{building: s.building(c, b), Unfinished: b.Unfinished()}
	if len(page.Unfinished) > 0 {
		return site.Show(s.Site, c, status, lockScreen, page)
	}
	_, reason, err := PreviewPlan(c.Request.Context(), b.tongue, s.Panel, b.saved.ID)
	if err != nil {
		return err
	}
	page.CannotRun, page.Sheet, page.Hash = reason, summary.PlanParts(b.tongue, b.asked), study.Hash(b.asked)
	if page.Doubts, err = s.doubts(c.Request.Context(), site.SessionOf(c), b); err != nil {
		return err
	}
	return site.Show(s.Site, c, status, lockScreen, page)
}

// doubts are the remarks on names and on the size of the panel, with the way to the
// step that can mend them: once the study is locked it is too late.
func (s *handlers) doubts(ctx context.Context, by panel.Session, b *builder) ([]remark, error) {
	var list []remark
	for _, r := range study.NameRemarks(b.asked) {
		list = append(list, remark{b.Href("names") + "#" + fieldID(r.Path), b.remarkWords(r)})
	}
	earlier, err := s.Panel.EarlierSpread(ctx, by, b.asked)
	if err != nil {
		return nil, err
	}
	size := b.sized(earlier)
	if size.Noticed != nil && size.Noticed.Pilot != "" {
		list = append(list, remark{b.Href("size") + "#answer", size.Noticed.Pilot})
	}
	for _, text := range size.Cautions {
		list = append(list, remark{b.Href("size") + "#answer", text})
	}
	return list, nil
}

// PreviewPlan draws the plan that locking would fix, or says why there is none.
func PreviewPlan(ctx context.Context, w site.Tongue, svc *panel.Service, id panel.StudyID) (plan *design.Plan,
	reason string, err error) {
	_, plan, err = svc.Preview(ctx, id)
	if reason, ok := summary.CannotRun(w, err); ok {
		return nil, reason, nil
	}
	return plan, "", err
}

// Unfinished are the steps, and the file itself, in which something is open.
func (b *builder) Unfinished() []StepLink {
	var list []StepLink
	for _, x := range b.Links() {
		if x.State != "" {
			list = append(list, x)
		}
	}
	return list
}

// lock fixes the study as it stood when its page was opened.
func (s *handlers) lock(c *gin.Context) error {
	id := site.StudyIn(c)
	revision, err := strconv.Atoi(c.Request.PostForm.Get("revision"))
	if err != nil {
		return site.ErrForm
	}
	err = s.Panel.Lock(c.Request.Context(), site.SessionOf(c), id, revision)
	_, cannot := summary.CannotRun(site.TongueOf(c), err)
	switch {
	case errors.Is(err, panel.ErrStale), errors.Is(err, panel.ErrMistakes), cannot:
		if c.Request.PostForm.Get("quick") != "" {
			return site.SeeOther(c, "/studies/"+string(id)+"/quick/"+quickEnd+"?stale=yes")
		}
		return s.lockAgain(c, errors.Is(err, panel.ErrStale))
	case errors.Is(err, panel.ErrWrongState): // locked already, as after a double tap
		return site.SeeOther(c, "/studies/"+string(id))
	case err != nil:
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id))
}

// lockAgain shows the lock step once more, which says what is in the way.
func (s *handlers) lockAgain(c *gin.Context, stale bool) error {
	b, err := s.builder(c, "lock")
	if errors.Is(err, errDraftGone) {
		return site.SeeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	b.stale = stale
	return b.step.show(s, c, http.StatusConflict, b)
}
