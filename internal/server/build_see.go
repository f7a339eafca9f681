package server

import (
	"context"
	"errors"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// seeStep is what the study will do, before it is locked.
type seeStep struct {
	building
	Unfinished []stepLink // the steps in which something is open
	CannotRun  string     // why this service cannot run it; "" when it can
	Study      summary    // empty while something is open
}

// lockStep is where the study is locked.
type lockStep struct {
	building
	Unfinished []stepLink
	CannotRun  string
	Doubts     []remark   // what to look at before it is too late; nothing is wrong
	Sheet      []planPart // what will be fixed
	Hash       string     // of the study
}

var (
	seeScreen  = screen[seeStep]{"build_see", desk}
	lockScreen = screen[lockStep]{"build_lock", desk}
)

func showSee(s *server, c *gin.Context, status int, b *builder) error {
	page := seeStep{building: s.building(c, b), Unfinished: b.unfinished()}
	if len(page.Unfinished) > 0 {
		return show(s, c, status, seeScreen, page)
	}
	plan, reason, err := s.preview(c.Request.Context(), b.kept.ID)
	if err != nil {
		return err
	}
	page.CannotRun, page.Study = reason, summarise(b.kept, plan)
	return show(s, c, status, seeScreen, page)
}

func showLockStep(s *server, c *gin.Context, status int, b *builder) error {
	page := lockStep{building: s.building(c, b), Unfinished: b.unfinished()}
	if len(page.Unfinished) > 0 {
		return show(s, c, status, lockScreen, page)
	}
	_, reason, err := s.preview(c.Request.Context(), b.kept.ID)
	if err != nil {
		return err
	}
	page.CannotRun, page.Sheet, page.Hash = reason, sheet(b.asked), study.Hash(b.asked)
	if page.Doubts, err = s.doubts(c.Request.Context(), b); err != nil {
		return err
	}
	return show(s, c, status, lockScreen, page)
}

// doubts are the remarks on names and on the size of the panel, with the way to the
// step that can mend them: once the study is locked it is too late.
func (s *server) doubts(ctx context.Context, b *builder) ([]remark, error) {
	var list []remark
	for _, r := range study.NameRemarks(b.asked) {
		list = append(list, remark{b.href("names") + "#" + fieldID(r.Path), sentence(r.Text)})
	}
	earlier, err := s.svc.EarlierSpread(ctx, b.asked)
	if err != nil {
		return nil, err
	}
	for _, text := range b.sized(earlier).Cautions {
		list = append(list, remark{b.href("size") + "#answer", text})
	}
	return list, nil
}

// preview draws the plan that locking would fix, or says why there is none.
func (s *server) preview(ctx context.Context, id string) (plan *design.Plan, reason string, err error) {
	_, plan, err = s.svc.Preview(ctx, id)
	if reason, ok := cannotRun(err); ok {
		return nil, reason, nil
	}
	return plan, "", err
}

// unfinished are the steps, and the file itself, in which something is open.
func (b *builder) unfinished() []stepLink {
	var list []stepLink
	for _, x := range b.links() {
		if x.State != "" {
			list = append(list, x)
		}
	}
	return list
}

// lock fixes the study as it stood when its page was opened.
func (s *server) lock(c *gin.Context) error {
	id := c.Param("id")
	revision, err := strconv.Atoi(c.Request.PostForm.Get("revision"))
	if err != nil {
		return errForm
	}
	err = s.svc.Lock(c.Request.Context(), id, revision)
	_, cannot := cannotRun(err)
	switch {
	case errors.Is(err, panel.ErrStale), errors.Is(err, panel.ErrMistakes), cannot:
		return s.lockAgain(c, errors.Is(err, panel.ErrStale))
	case errors.Is(err, panel.ErrWrongState): // locked already, as after a double tap
		return seeOther(c, "/studies/"+id)
	case err != nil:
		return err
	}
	return seeOther(c, "/studies/"+id)
}

// lockAgain shows the lock step once more, which says what is in the way.
func (s *server) lockAgain(c *gin.Context, stale bool) error {
	b, err := s.builder(c, "lock")
	if errors.Is(err, errDraftGone) {
		return seeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	b.stale = stale
	return b.step.show(s, c, http.StatusConflict, b)
}
