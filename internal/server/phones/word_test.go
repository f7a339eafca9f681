package phones_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
)

// TestOnePhoneCannotTakeEveryPlace: from one address only a few join without the word
// on the table card; with it anybody does, and guessing it is slow.
func TestOnePhoneCannotTakeEveryPlace(t *testing.T) {
	f := servertest.NewWith(t, server.Options{SetupCode: servertest.SetupCode, Proxies: []string{"127.0.0.1"}})
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	id, join := f.InState(servertest.Custard, panel.Open) // 12 places: 2 without the word
	nonces := 0
	consent := func(from, word string) *httptest.ResponseRecorder {
		nonces++
		form := url.Values{"nonce": {fmt.Sprintf("a-nonce-of-one-script-%d", nonces)}, "word": {word}}
		r := httptest.NewRequest(http.MethodPost, "/join/"+string(join)+"/consent", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("X-Forwarded-For", from)
		r.RemoteAddr = "127.0.0.1:4711"
		w := httptest.NewRecorder()
		f.Web.Config.Handler.ServeHTTP(w, r)
		return w
	}
	card := f.Lead().Get("/studies/" + string(id) + "/sittings/1/card").HTML().Find(".card strong").Text()
	joined := 0
	for i := range 5 {
		if consent(fmt.Sprintf("2001:db8::%d", i+1), "").Code == http.StatusSeeOther {
			joined++
		}
	}
	if joined != 2 {
		t.Errorf("%d joined from one network without the word, want 2", joined)
	}
	if w := consent("2001:db8::9", ""); w.Code != http.StatusUnprocessableEntity ||
		!strings.Contains(w.Body.String(), `name="word"`) {
		t.Errorf("one more: %d, want the word asked", w.Code)
	}
	if w := consent("192.0.2.9", ""); w.Code != http.StatusSeeOther {
		t.Errorf("another address: %d", w.Code)
	}
	if w := consent("2001:db8::9", "nonsense 1"); w.Code != http.StatusUnprocessableEntity ||
		!strings.Contains(w.Body.String(), "not the word") {
		t.Errorf("a wrong word: %d", w.Code)
	}
	if w := consent("2001:db8::9", card); w.Code != http.StatusTooManyRequests {
		t.Errorf("at once after a wrong word: %d", w.Code)
	}
	f.Clock.Pass(time.Minute)
	if w := consent("2001:db8::9", strings.ToUpper(card)); w.Code != http.StatusSeeOther {
		t.Errorf("with the word on the card, %q: %d", card, w.Code)
	}
}
