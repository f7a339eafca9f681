package server_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
)

// TestAProxyThatIsNotListedIsSaid: behind one everybody has the same address, so the
// limits by address are none. The log says it once, and the lead's pages from then on.
func TestAProxyThatIsNotListedIsSaid(t *testing.T) {
	for _, tc := range []struct {
		name, peer, header string
		listed             []string
		want               string // the address that is named; "" = nothing is said
	}{
		{"no proxy", "192.0.2.7:4711", "", nil, ""},
		{"a proxy that is listed", "10.0.0.2:4711", "X-Forwarded-For", []string{"10.0.0.2"}, ""},
		{"one of a range that is listed", "10.0.0.2:4711", "X-Forwarded-For", []string{"10.0.0.0/24"}, ""},
		{"listed, as an address of both kinds", "[::ffff:10.0.0.2]:4711", "X-Forwarded-For", []string{"10.0.0.2"}, ""},
		{"a proxy that is not", "10.0.0.2:4711", "X-Forwarded-For", nil, "10.0.0.2"},
		{"another than the one that is listed", "10.0.0.3:4711", "X-Forwarded-For", []string{"10.0.0.2"}, "10.0.0.3"},
		{"on this machine", "127.0.0.1:4711", "X-Real-Ip", nil, "127.0.0.1"},
		{"by the header of the standard", "[2001:db8::1]:4711", "Forwarded", nil, "2001:db8::1"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.NewWith(t, server.Options{SetupCode: servertest.SetupCode, Proxies: tc.listed})
			open, _ := f.InState(servertest.Custard, panel.Open)
			for _, peer := range []string{tc.peer, tc.peer, "198.51.100.9:1"} {
				askedThrough(f, peer, tc.header)
			}
			want := 0
			if tc.want != "" {
				want = 1
			} else if tc.header != "" { // then the third is the one that is named
				want, tc.want = 1, "198.51.100.9"
			}
			log := f.Log.String()
			if n := strings.Count(log, "not listed"); n != want || want == 1 &&
				!strings.Contains(log, "address="+tc.want) ||
				want == 1 && !strings.Contains(log, "CLOCHE_PROXIES") {
				t.Errorf("said %d times, want %d of %s:\n%s", n, want, tc.want, log)
			}
			v := f.Lead()
			for _, page := range []string{"/studies/" + string(open), "/log"} {
				text := v.Get(page).HTML().Find("main .caution").Text()
				if got := strings.Contains(text, "--proxies "+tc.want+" "); got != (want == 1) {
					t.Errorf("%s says %q, want a word of the proxy at %q", page, text, tc.want)
				}
			}
		})
	}
}

// askedThrough asks for a page as a proxy at an address does.
func askedThrough(f *servertest.Fixture, peer, header string) {
	r := httptest.NewRequest(http.MethodGet, "/healthz", nil)
	r.RemoteAddr = peer
	if header != "" {
		r.Header.Set(header, "203.0.113.5")
	}
	f.Web.Config.Handler.ServeHTTP(httptest.NewRecorder(), r)
}

// TestReadySaysWhichProxyStandsInFront: “cloche doctor” asks as a phone does.
func TestReadySaysWhichProxyStandsInFront(t *testing.T) {
	f := servertest.NewWith(t, server.Options{Proxies: []string{"10.0.0.2"}})
	for _, tc := range []struct{ peer, header, want string }{
		{"10.0.0.2:4711", "X-Forwarded-For", "believed"}, {"10.0.0.2:4711", "", "silent"},
		{"10.0.0.3:4711", "Forwarded", "not listed"}, {"192.0.2.7:4711", "", "none"},
	} {
		r := httptest.NewRequest(http.MethodGet, "/readyz", nil)
		r.RemoteAddr = tc.peer
		if tc.header != "" {
			r.Header.Set(tc.header, "203.0.113.5")
		}
		w := httptest.NewRecorder()
		f.Web.Config.Handler.ServeHTTP(w, r)
		if want := "ready\nproxy: " + tc.want + "\n"; w.Body.String() != want {
			t.Errorf("from %s with %q: %q, want %q", tc.peer, tc.header, w.Body.String(), want)
		}
	}
}
