package phones_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/words"
)

// TestATrayMayBeTastedAgainOrNot: the guest's page says which, in each language, and so
// do the page without network and the floor's.
func TestATrayMayBeTastedAgainOrNot(t *testing.T) {
	for _, once := range []bool{false, true} {
		for _, lang := range []string{"en", "de", "fr", "it", "es"} {
			file := strings.Replace(servertest.Smokiest, ", warm-up: canaryA", "", 1)
			file = strings.Replace(file, "invented: true\n", "invented: true\nlanguages: ["+lang+"]\n", 1)
			if once {
				file = strings.Replace(file, "rinse: 0 s", "rinse: 0 s, taste once: true", 1)
			}
			f := servertest.New(t)
			id, join := f.InState(file, panel.Open)
			token := f.Began(join, "a-guest-with-a-tray-1")
			want, other := words.In(lang).InOrder(once), words.In(lang).TasteAgain
			if !once {
				other = words.In(lang).TasteOnce
			}
			v := f.Visitor()
			for _, path := range []string{"", "/offline"} {
				p := v.Get("/t/" + string(token) + path)
				html, err := p.HTML().Html()
				f.Must(err)
				if !strings.Contains(html, want) || strings.Contains(html, other) {
					t.Errorf("%s, once %v: the page %q does not say %q: %s", lang, once, path, want,
						p.HTML().Find("main").Text())
				}
			}
			floor := f.Staff(id, panel.RoleFloor)
			seat := floor.Get("/floor").HTML().Find(".seat a").AttrOr("href", "")
			scores := floor.Get(seat).HTML().Find(".acts a[href*='/scores/']").AttrOr("href", "")
			for _, path := range []string{"/floor/offline", scores} {
				if got := floor.Get(path).HTML().Find("main").Text(); !strings.Contains(got,
					words.In("en").InOrder(once)) {
					t.Errorf("once %v: the floor's page %s says %s", once, path, got)
				}
			}
		}
	}
}
