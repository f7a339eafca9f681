package phones_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/words"
)

// TestGoesOnOnAnotherPhone: a guest who tastes is shown the way to another phone, in each
// language; one who has finished is not.
func TestGoesOnOnAnotherPhone(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	token := f.Began(join, "a-guest-whose-phone-dies")
	v := &servertest.Watched{Visitor: f.Visitor()}
	at := "/t/" + string(token)
	to := v.Get(at).HTML().Find(".own a[href$=other-phone]").AttrOr("href", "")
	p := v.Get(to)
	if path := p.HTML().Find("svg.qr path").AttrOr("d", ""); len(path) < 500 || to != at+"/other-phone" {
		t.Errorf("%s draws %d letters of a code", to, len(path))
	}
	v.Reads(append(servertest.Canaries, "http-equiv")...)
	f.Tasted(join, "a-guest-whose-phone-dies", "20", "30")
	if p := v.Get(to); p.Path != at || strings.Contains(p.Body, "other-phone") {
		t.Errorf("after the last answer: %s", p.Path)
	}
	for _, l := range []string{"en", "de", "fr", "it", "es"} {
		w := words.In(l)
		if w.OtherPhone == "" || w.OtherPhoneText == "" || w.OtherPhoneOwn == "" || w.OtherPhoneCode == "" {
			t.Errorf("%s has no words", l)
		}
	}
}
