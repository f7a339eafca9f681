package server_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server"
)

func TestSetUpAsksForTheCodeOnTheTerminal(t *testing.T) {
	const good = leadPassword
	for _, tc := range []struct {
		name                  string
		code, password, again string
		wrong                 string // id of the field with a problem; "" = set
	}{
		{"wrong code", "guess", good, good, "code"},
		{"no code", "", good, good, "code"},
		{"short password", setupCode, "short", "short", "password"},
		{"password longer than bcrypt reads", setupCode, strings.Repeat("é", 40), strings.Repeat("é", 40), "password"},
		{"passwords differ", setupCode, good, good + "x", "again"},
		{"right, code in capitals", " " + strings.ToUpper(setupCode), good, good, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := newFixture(t)
			p := f.visitor().post("/setup", "code", tc.code, "password", tc.password, "again", tc.again)
			has, err := f.svc.HasPassword(t.Context())
			f.must(err)
			if has != (tc.wrong == "") {
				t.Errorf("password set: %v", has)
			}
			if tc.wrong == "" {
				if p.path != "/studies" {
					t.Errorf("ended at %s, want /studies, signed in", p.path)
				}
				return
			}
			doc := p.html()
			if p.status != http.StatusUnprocessableEntity || doc.Find("#"+tc.wrong+"-wrong").Length() != 1 || doc.Find(`.problems a[href="#`+tc.wrong+`"]`).Length() != 1 {
				t.Errorf("status %d without a problem at %s and in the summary", p.status, tc.wrong)
			}
			if tc.password != "short" && strings.Contains(p.body, tc.password) {
				t.Error("the page repeats the password")
			}
		})
	}
}

// TestSetUpSaysEveryProblemAtOnce: code, password and its repetition are all looked at.
func TestSetUpSaysEveryProblemAtOnce(t *testing.T) {
	f := newFixture(t)
	doc := f.visitor().post("/setup", "code", "guess", "password", "12345", "again", "54321").html()
	for _, id := range []string{"code", "password", "again"} {
		if doc.Find("#"+id+"-wrong").Length() != 1 || doc.Find(`.problems a[href="#`+id+`"]`).Length() != 1 {
			t.Errorf("no problem at %s", id)
		}
	}
	if text := doc.Find("#password-wrong").Text(); !strings.Contains(text, "at least 10 characters") || !strings.Contains(text, "easy to guess") {
		t.Errorf("of the password: %q", text)
	}
}

// TestSignInsAreInTheServicesLog, failed and good, newest first, for the lead.
func TestSignInsAreInTheServicesLog(t *testing.T) {
	f := newFixture(t)
	f.must(f.svc.SetPassword(t.Context(), leadPassword))
	v := f.visitor()
	v.post("/sign-in", "password", "wrong")
	f.clock.pass(time.Minute)
	v.post("/sign-in", "password", leadPassword)
	rows := v.get("/log").html().Find("tbody tr")
	if got := rows.Eq(0).Text(); !strings.Contains(got, "signed in") || !strings.Contains(got, "from 127.0.0.1") {
		t.Errorf("newest entry %q", got)
	}
	if got := rows.Eq(1).Text(); !strings.Contains(got, "wrong password") || !strings.Contains(got, "from 127.0.0.1") {
		t.Errorf("entry before %q", got)
	}
}

func TestSetUpWithoutACodeIsRefused(t *testing.T) {
	f := newFixtureWith(t, server.Options{})
	p := f.visitor().post("/setup", "code", "", "password", leadPassword, "again", leadPassword)
	has, err := f.svc.HasPassword(t.Context())
	f.must(err)
	if has || p.status != http.StatusForbidden {
		t.Errorf("status %d, password set: %v; want it refused", p.status, has)
	}
}

func TestWrongPasswordsAreSlowedDown(t *testing.T) {
	f := newFixture(t)
	f.must(f.svc.SetPassword(t.Context(), leadPassword))
	v := f.visitor()
	p := v.post("/sign-in", "password", "wrong")
	if p.status != http.StatusForbidden || p.html().Find("#password-wrong").Length() != 1 {
		t.Errorf("wrong password: status %d", p.status)
	}
	p = v.post("/sign-in", "password", leadPassword)
	if p.status != http.StatusTooManyRequests || p.header.Get("Retry-After") == "" || !strings.Contains(p.body, "a minute at most") {
		t.Errorf("the right password at once after a wrong one: status %d, want 429 and how long to wait", p.status)
	}
	f.clock.pass(time.Minute)
	if p = v.post("/sign-in", "password", leadPassword); p.path != "/studies" {
		t.Errorf("after the wait: %s, want /studies", p.path)
	}
}

func TestSignInGoesOnToAPageOfThisService(t *testing.T) {
	f := newFixture(t)
	f.must(f.svc.SetPassword(t.Context(), leadPassword))
	id := f.uploaded(custard)
	for _, tc := range []struct{ name, asked, want string }{
		{"a study", "/studies/" + id, "/studies/" + id},
		{"nothing", "", "/studies"},
		{"another site", "https://example.org/studies/", "/studies"},
		{"another site without a scheme", "//example.org/studies/x", "/studies"},
		{"a backslash", `/studies/\example.org`, "/studies"},
		{"a ballot", "/t/x", "/studies"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			v := f.visitor()
			if p := v.post("/sign-in", "to", tc.asked, "password", leadPassword); p.path != tc.want {
				t.Errorf("ended at %s, want %s", p.path, tc.want)
			}
		})
	}
	p := f.visitor().get("/studies/" + id)
	if got := p.html().Find("input[name=to]").AttrOr("value", ""); got != "/studies/"+id {
		t.Errorf("the sign-in page goes on to %q, want the study asked for", got)
	}
}

func TestSignOutEndsTheSession(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	keep := lead.http.Jar.Cookies(mustURL(t, f.web.URL))
	lead.post("/sign-out")
	lead.http.Jar.SetCookies(mustURL(t, f.web.URL), keep) // a copy of the cookie
	if p := lead.get("/studies"); p.path != "/sign-in" {
		t.Errorf("a copied cookie opens %s after signing out", p.path)
	}
}

func TestCookies(t *testing.T) {
	for _, tc := range []struct {
		name, url string
		secure    bool
	}{
		{"plain HTTP", "", false},
		{"behind TLS", "https://tasting.example.org", true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := newFixtureWith(t, server.Options{URL: tc.url})
			f.must(f.svc.SetPassword(t.Context(), leadPassword))
			_, join := f.inState(custard, panel.Open)
			v := f.visitor()
			v.http.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
			for _, p := range []page{
				v.post("/sign-in", "password", leadPassword),
				v.post("/join/"+join+"/consent", "nonce", "nonce-of-a-guest-1"),
			} {
				got := p.header.Get("Set-Cookie")
				if !strings.Contains(got, "HttpOnly") || !strings.Contains(got, "SameSite=Lax") || strings.Contains(got, "Secure") != tc.secure {
					t.Errorf("cookie %q, want HttpOnly, SameSite=Lax and Secure %v", got, tc.secure)
				}
			}
		})
	}
}

func TestOwnAddressIsTrustedBehindAProxy(t *testing.T) {
	f := newFixtureWith(t, server.Options{URL: "https://tasting.example.org/"})
	_, join := f.inState(custard, panel.Open)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, f.web.URL+"/join/"+join+"/consent", strings.NewReader("nonce=nonce-of-a-guest-1"))
	f.must(err)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", "https://tasting.example.org")
	answer, err := http.DefaultTransport.RoundTrip(r)
	f.must(err)
	f.must(answer.Body.Close())
	if answer.StatusCode != http.StatusSeeOther {
		t.Errorf("a form from the service's own address: status %d, want 303", answer.StatusCode)
	}
	if _, err := server.New(f.svc, server.Options{URL: "https://example.org/with/a/path"}); err == nil {
		t.Error("an address with a path was taken")
	}
}

func TestFormsFromOtherSitesAreRefused(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(custard)
	lead := f.lead()
	for _, tc := range []struct {
		name, header, value string
		refused             bool
	}{
		{"from another site, by origin", "Origin", "https://example.org", true},
		{"from another site, by fetch metadata", "Sec-Fetch-Site", "cross-site", true},
		{"from nowhere, as under a referrer policy of no-referrer", "Origin", "null", true},
		{"from here", "Origin", f.web.URL, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, f.web.URL+"/studies/"+id+"/lock", nil)
			f.must(err)
			r.Header.Set(tc.header, tc.value)
			answer, err := lead.http.Do(r)
			f.must(err)
			f.must(answer.Body.Close())
			if (answer.StatusCode == http.StatusForbidden) != tc.refused {
				t.Errorf("status %d", answer.StatusCode)
			}
			if got := answer.Header.Get("Content-Security-Policy"); got == "" {
				t.Error("the answer carries no policy")
			}
		})
	}
}
