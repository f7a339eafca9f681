package phones_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/words"
)

// TestAGuestSaysNoOrStops reads what the guest reads, in each language, and what
// floor is told.
func TestAGuestSaysNoOrStops(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	v := f.Visitor()
	p := v.Get("/join/" + string(join))
	if got := p.HTML().Find(`form[action$="/decline"] button`).Text(); got != "No, thank you" {
		t.Errorf("the button beside consent says %q", got)
	}
	ballot := v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-the-first-guest").Path
	p = v.Get(v.Get(ballot).HTML().Find(`.own a[href$="/stop"]`).AttrOr("href", ""))
	if got := p.HTML().Find("h1").Text(); got != "Stop here?" {
		t.Fatalf("the link to stop leads to %q", got)
	}
	p = v.Post(p.HTML().Find("form").AttrOr("action", ""))
	if p.Path != ballot || p.HTML().Find("h1").Text() != "You have stopped" ||
		p.HTML().Find(`a[href$="/stop"]`).Length() != 0 {
		t.Errorf("stopping ends at %s, %q", p.Path, p.HTML().Find("h1").Text())
	}
	if p := v.Get(ballot + "/stop"); p.Path != ballot {
		t.Errorf("whoever has stopped is asked again at %s", p.Path)
	}
}

func TestStoppingIsSaidInEveryLanguage(t *testing.T) {
	seen := map[string]string{}
	for _, tag := range []string{"en", "fr", "de", "es", "it"} {
		w := words.In(tag)
		for _, x := range []string{w.Decline, w.Stop, w.StopAsk, w.StopText, w.StopNot, w.Stopped, w.StoppedText} {
			if strings.TrimSpace(x) == "" || seen[x] != "" {
				t.Errorf("%s: %q, as in %q", tag, x, seen[x])
			}
			seen[x] = tag
		}
	}
}
