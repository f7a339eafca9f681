package server_test

import (
	"bufio"
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

// TestOneAddressCannotTakeEveryPlace sends consents from one address as a script
// would; another address is not held up, and the form can be sent again later.
func TestOneAddressCannotTakeEveryPlace(t *testing.T) {
	f := servertest.NewWith(t, server.Options{SetupCode: servertest.SetupCode, Proxies: []string{"127.0.0.1"}})
	_, join := f.InState(servertest.Custard, panel.Open)
	consent := func(from, language string) *httptest.ResponseRecorder {
		form := url.Values{"nonce": {"a-nonce-of-one-script"}} // one place: the count is of tries
		r := httptest.NewRequest(http.MethodPost, "/join/"+string(join)+"/consent", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Accept-Language", language)
		r.Header.Set("X-Forwarded-For", from)
		r.RemoteAddr = "127.0.0.1:4711"
		w := httptest.NewRecorder()
		f.Web.Config.Handler.ServeHTTP(w, r)
		return w
	}
	for i := range panel.MaxJoins {
		if w := consent("192.0.2.7", "en"); w.Code != http.StatusSeeOther {
			t.Fatalf("try %d gets %d", i+1, w.Code)
		}
	}
	w := consent("192.0.2.7", "de")
	if body := w.Body.String(); w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") != "60" ||
		!strings.Contains(body, "Warten Sie eine Minute") || !strings.Contains(body, "a-nonce-of-one-script") {
		t.Errorf("one more gets %d: %s", w.Code, body)
	}
	if w := consent("192.0.2.8", "en"); w.Code != http.StatusSeeOther {
		t.Errorf("another address gets %d", w.Code)
	}
	f.Clock.Pass(time.Minute)
	if w := consent("192.0.2.7", "en"); w.Code != http.StatusSeeOther {
		t.Errorf("a minute later: %d", w.Code)
	}
	for range panel.MaxJoins + 1 { // the machine's own address stands for everybody
		if w := consent("127.0.0.1", "en"); w.Code != http.StatusSeeOther {
			t.Fatalf("the machine's own address gets %d", w.Code)
		}
	}
}

// TestStreamOutlivesTheWriteTimeout: a server that gives an answer half a second
// still streams a minute's work, as each event has a deadline of its own.
func TestStreamOutlivesTheWriteTimeout(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	hasty := httptest.NewUnstartedServer(f.Web.Config.Handler)
	hasty.Config.WriteTimeout = 500 * time.Millisecond
	hasty.Start()
	defer hasty.Close()
	v := f.Staff(id, panel.RoleFloor)
	base, err := url.Parse(v.Base)
	f.Must(err)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, hasty.URL+"/floor/events", nil)
	f.Must(err)
	for _, c := range v.HTTP.Jar.Cookies(base) {
		r.AddCookie(c)
	}
	answer, err := http.DefaultClient.Do(r)
	f.Must(err)
	defer answer.Body.Close()
	lines := bufio.NewScanner(answer.Body)
	events := 0
	for lines.Scan() {
		if lines.Text() != "event: fresh" {
			continue
		}
		if events++; events == 2 {
			return
		}
		time.Sleep(1500 * time.Millisecond) // past the write timeout
		f.Began(join, "a-guest-who-comes-late")
	}
	t.Errorf("the stream ended after %d events: %v", events, lines.Err())
}
