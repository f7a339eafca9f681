package desk_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
)

func TestSetUpAsksForTheCodeOnTheTerminal(t *testing.T) {
	const good = servertest.LeadPassword
	for _, tc := range []struct {
		name                  string
		code, password, again string
		wrong                 string // id of the field with a problem; "" = set
	}{
		{"wrong code", "guess", good, good, "code"},
		{"no code", "", good, good, "code"},
		{"short password", servertest.SetupCode, "short", "short", "password"},
		{"password longer than bcrypt reads", servertest.SetupCode, strings.Repeat("é", 40), strings.Repeat("é", 40),
			"password"},
		{"passwords differ", servertest.SetupCode, good, good + "x", "again"},
		{"right, code in capitals", " " + strings.ToUpper(servertest.SetupCode), good, good, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.New(t)
			p := f.Visitor().Post("/setup", "code", tc.code, "name", servertest.LeadName, "password", tc.password,
				"again", tc.again)
			has, err := f.Svc.HasPassword(t.Context())
			f.Must(err)
			if has != (tc.wrong == "") {
				t.Errorf("password set: %v", has)
			}
			if tc.wrong == "" {
				if p.Path != "/studies" {
					t.Errorf("ended at %s, want /studies, signed in", p.Path)
				}
				return
			}
			doc := p.HTML()
			if p.Status != http.StatusUnprocessableEntity || doc.Find("#"+tc.wrong+"-wrong").Length() != 1 ||
				doc.Find(`.problems a[href="#`+tc.wrong+`"]`).Length() != 1 {
				t.Errorf("status %d without a problem at %s and in the summary", p.Status, tc.wrong)
			}
			if tc.password != "short" && strings.Contains(p.Body, tc.password) {
				t.Error("the page repeats the password")
			}
		})
	}
}

// TestSetUpSaysEveryProblem: code, password and its repetition are all looked at.
func TestSetUpSaysEveryProblem(t *testing.T) {
	f := servertest.New(t)
	doc := f.Visitor().Post("/setup", "code", "guess", "password", "12345", "again", "54321").HTML()
	for _, id := range []string{"code", "password", "again"} {
		if doc.Find("#"+id+"-wrong").Length() != 1 || doc.Find(`.problems a[href="#`+id+`"]`).Length() != 1 {
			t.Errorf("no problem at %s", id)
		}
	}
	if text := doc.Find("#password-wrong").Text(); !strings.Contains(text, "at least 10 characters") ||
		!strings.Contains(text, "easy to guess") {
		t.Errorf("of the password: %q", text)
	}
}

// TestSignInsAreInTheServicesLog, failed and good, newest first, for the owner.
func TestSignInsAreInTheServicesLog(t *testing.T) {
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	v := f.Visitor()
	v.Post("/sign-in", "password", "wrong")
	f.Clock.Pass(time.Minute)
	v.Post("/sign-in", "password", servertest.LeadPassword)
	rows := v.Get("/log").HTML().Find("tbody tr")
	if got := rows.Eq(0).Text(); !strings.Contains(got, "signed in") || !strings.Contains(got, "from 127.0.0.1") {
		t.Errorf("newest entry %q", got)
	}
	if got := rows.Eq(1).Text(); !strings.Contains(got, "wrong password") || !strings.Contains(got, "from 127.0.0.1") {
		t.Errorf("entry before %q", got)
	}
	v.Post("/sign-out")
	last := f.Events("")[len(f.Events(""))-1]
	if last.What != "signed out" || last.Who != "lead "+servertest.LeadName {
		t.Errorf("after signing out the newest entry is %+v", last)
	}
}

// TestDownloadsAreInTheStudysLog: who took what away; a link that is only looked at takes nothing.
func TestDownloadsAreInTheStudysLog(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Closed)
	study := "/studies/" + string(id)
	lead, partner := f.Lead(), f.Partner()
	lead.Get(study + "/data.zip")
	partner.Get(study + "/key.csv")
	partner.Get(study + "/ratings.csv")
	lead.Get(study + "/findings.json")
	r, err := http.NewRequestWithContext(t.Context(), http.MethodHead, f.Web.URL+study+"/key.csv", nil)
	f.Must(err)
	answer, err := lead.HTTP.Do(r)
	f.Must(err)
	f.Must(answer.Body.Close())
	var got []string
	for _, e := range f.Events(id) {
		if e.What == "exported" || e.What == "downloaded" || e.Detail == "key opened" {
			got = append(got, strings.TrimSpace(e.Who+" "+e.What+" "+e.Detail))
		}
	}
	if want := "lead closed key opened, lead Ines exported, partner Petra downloaded key.csv, " +
		"partner Petra downloaded ratings.csv, lead Ines downloaded findings.json"; strings.Join(got, ", ") != want {
		t.Errorf("the log has %q, want %q", got, want)
	}
}

// TestLogPageChecksTheChain: the page says that the log is whole, or what does not fit, and
// the file is what the chain was made of.
func TestLogPageChecksTheChain(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	lead := f.Lead()
	for _, page := range []string{"/log", "/studies/" + string(id) + "/log"} {
		p := lead.Get(page)
		if !strings.Contains(p.Body, "each entry fits the one before it") || p.HTML().Find(".caution").Length() > 0 {
			t.Errorf("%s does not say that the log is whole", page)
		}
		file := lead.Get(p.HTML().Find("a[download]").AttrOr("href", "")).Body
		lines := strings.Split(strings.TrimSuffix(file, "\n"), "\n")
		line, hash := lines[len(lines)-1], ""
		if i := strings.LastIndex(line, "\t"); i > 0 {
			line, hash = line[:i], line[i+1:]
		}
		sum := sha256.Sum256([]byte(line))
		if end := p.HTML().Find(".hash code").Text(); hex.EncodeToString(sum[:]) != hash ||
			end != fmt.Sprintf("%d:%s", len(lines), hash) {
			t.Errorf("%s: the end is %s, and the last of %d lines has the hash %s", page, end, len(lines), hash)
		}
	}
}

func TestSetUpWithoutACodeIsRefused(t *testing.T) {
	f := servertest.NewWith(t, server.Options{})
	p := f.Visitor().Post("/setup", "code", "", "password", servertest.LeadPassword, "again", servertest.LeadPassword)
	has, err := f.Svc.HasPassword(t.Context())
	f.Must(err)
	if has || p.Status != http.StatusForbidden {
		t.Errorf("status %d, password set: %v; want it refused", p.Status, has)
	}
}

func TestWrongPasswordsAreSlowedDown(t *testing.T) {
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	v := f.Visitor()
	p := v.Post("/sign-in", "password", "wrong")
	if p.Status != http.StatusForbidden || p.HTML().Find("#password-wrong").Length() != 1 {
		t.Errorf("wrong password: status %d", p.Status)
	}
	p = v.Post("/sign-in", "password", servertest.LeadPassword)
	if p.Status != http.StatusTooManyRequests || p.Header.Get("Retry-After") == "" ||
		!strings.Contains(p.Body, "a minute at most") {
		t.Errorf("the right password at once after a wrong one: status %d, want 429 and how long to wait", p.Status)
	}
	f.Clock.Pass(time.Minute)
	if p = v.Post("/sign-in", "password", servertest.LeadPassword); p.Path != "/studies" {
		t.Errorf("after the wait: %s, want /studies", p.Path)
	}
}

func TestSignInGoesOnToAPageOfThisService(t *testing.T) {
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	id := f.Uploaded(servertest.Custard)
	for _, tc := range []struct{ name, asked, want string }{
		{"a study", "/studies/" + string(id), "/studies/" + string(id)},
		{"nothing", "", "/studies"},
		{"another site", "https://example.org/studies/", "/studies"},
		{"another site without a scheme", "//example.org/studies/x", "/studies"},
		{"a backslash", `/studies/\example.org`, "/studies"},
		{"a ballot", "/t/x", "/studies"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			v := f.Visitor()
			if p := v.Post("/sign-in", "to", tc.asked, "password", servertest.LeadPassword); p.Path != tc.want {
				t.Errorf("ended at %s, want %s", p.Path, tc.want)
			}
		})
	}
	p := f.Visitor().Get("/studies/" + string(id))
	if got := p.HTML().Find("input[name=to]").AttrOr("value", ""); got != "/studies/"+string(id) {
		t.Errorf("the sign-in page goes on to %q, want the study asked for", got)
	}
}

func TestSignOutEndsTheSession(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	keep := lead.HTTP.Jar.Cookies(mustURL(t, f.Web.URL))
	lead.Post("/sign-out")
	lead.HTTP.Jar.SetCookies(mustURL(t, f.Web.URL), keep) // a copy of the cookie
	if p := lead.Get("/studies"); p.Path != "/sign-in" {
		t.Errorf("a copied cookie opens %s after signing out", p.Path)
	}
}

func mustURL(t *testing.T, s string) *url.URL {
	t.Helper()
	u, err := url.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return u
}
