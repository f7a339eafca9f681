package room_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestFloorIsToldOfALongComment: at its field and in the summary above, with what was typed.
func TestFloorIsToldOfALongComment(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Commented, panel.Open)
	f.Began(join, "a-guest-at-the-window")
	v := f.Staff(id, panel.RoleFloor)
	seat := v.Get("/floor").HTML().Find(".seat a").AttrOr("href", "")
	scores := v.Get(seat).HTML().Find(".acts a[href*='/scores/']").AttrOr("href", "")
	nonce := v.Get(scores).HTML().Find("[name=nonce]").AttrOr("value", "")
	long := strings.Repeat("x", panel.MaxComment+1)
	p := v.Post(scores, "nonce", nonce, "a1", "42", "a2", "6", "comment", long)
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	doc := p.HTML()
	if doc.Find(".problems a[href='#comment']").Text() != "Anything else?" ||
		doc.Find("#comment-wrong").Text() != "Write at most 1000 characters." || doc.Find("#comment").Text() != long {
		t.Errorf("a long comment: %s", doc.Find("main").Text())
	}
}
