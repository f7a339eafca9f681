package server_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
)

func TestCookies(t *testing.T) {
	for _, tc := range []struct {
		name, url string
		secure    bool
	}{
		{"plain HTTP", "", false},
		{"behind TLS", "https://tasting.example.org", true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.NewWith(t, server.Options{URL: tc.url})
			f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
			_, join := f.InState(servertest.Custard, panel.Open)
			v := f.Visitor()
			v.HTTP.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
			for _, p := range []servertest.Page{
				v.Post("/sign-in", "password", servertest.LeadPassword),
				v.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-guest-1"),
			} {
				got := p.Header.Get("Set-Cookie")
				if !strings.Contains(got, "HttpOnly") || !strings.Contains(got, "SameSite=Lax") ||
					strings.Contains(got, "Secure") != tc.secure {
					t.Errorf("cookie %q, want HttpOnly, SameSite=Lax and Secure %v", got, tc.secure)
				}
			}
		})
	}
}

func TestOwnAddressIsTrustedBehindAProxy(t *testing.T) {
	f := servertest.NewWith(t, server.Options{URL: "https://tasting.example.org/"})
	_, join := f.InState(servertest.Custard, panel.Open)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, f.Web.URL+"/join/"+string(join)+"/consent",
		strings.NewReader("nonce=nonce-of-a-guest-1"))
	f.Must(err)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", "https://tasting.example.org")
	answer, err := http.DefaultTransport.RoundTrip(r)
	f.Must(err)
	f.Must(answer.Body.Close())
	if answer.StatusCode != http.StatusSeeOther {
		t.Errorf("a form from the service's own address: status %d, want 303", answer.StatusCode)
	}
	if _, err := server.New(f.Svc, server.Options{URL: "https://example.org/with/a/path"}); err == nil {
		t.Error("an address with a path was taken")
	}
}

func TestFormsFromOtherSitesAreRefused(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	lead := f.Lead()
	for _, tc := range []struct {
		name, header, value string
		refused             bool
	}{
		{"from another site, by origin", "Origin", "https://example.org", true},
		{"from another site, by fetch metadata", "Sec-Fetch-Site", "cross-site", true},
		{"from nowhere, as under a referrer policy of no-referrer", "Origin", "null", true},
		{"from here", "Origin", f.Web.URL, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, f.Web.URL+"/studies/"+string(id)+
				"/lock", nil)
			f.Must(err)
			r.Header.Set(tc.header, tc.value)
			answer, err := lead.HTTP.Do(r)
			f.Must(err)
			f.Must(answer.Body.Close())
			if (answer.StatusCode == http.StatusForbidden) != tc.refused {
				t.Errorf("status %d", answer.StatusCode)
			}
			if got := answer.Header.Get("Content-Security-Policy"); got == "" {
				t.Error("the answer carries no policy")
			}
		})
	}
}
