package desk_test

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// firstForm reads the first form of a page: its address, and the values that it sends.
func firstForm(doc *goquery.Document) (action string, values url.Values) {
	form := doc.Find("main form").First()
	values = url.Values{}
	form.Find("input[name], textarea[name]").Each(func(_ int, x *goquery.Selection) {
		if kind := x.AttrOr("type", ""); kind == "radio" && x.AttrOr("checked", "no") == "no" {
			return
		}
		value := x.AttrOr("value", "")
		if goquery.NodeName(x) == "textarea" {
			value = x.Text()
		}
		values.Add(x.AttrOr("name", ""), value)
	})
	return form.AttrOr("action", ""), values
}

// TestAFormAfterTheSessionsEndIsKept sends a step of the builder after the session has
// ended, signs in on the page that comes, at the second try, and goes on: the step is
// saved as it was typed.
func TestAFormAfterTheSessionsEndIsKept(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	lead := f.Lead()
	f.Clock.Pass(panel.SessionLength + time.Minute)
	const typed = "  A name & its <salt>:\r\n\"more\" than before?"
	step := "/studies/" + string(id) + "/edit/question"
	p := lead.Post(step, "revision", "1", "do", "save", "hypothesis", typed)
	if p.Status != http.StatusForbidden || p.HTML().Find("#password").Length() != 1 {
		t.Fatalf("status %d, want the page that asks for the password", p.Status)
	}
	for _, password := range []string{"wrong", servertest.LeadPassword} {
		action, values := firstForm(p.HTML())
		if action != "/sign-in" {
			t.Fatalf("the form goes to %q", action)
		}
		values.Set("password", password)
		p = lead.Do(http.MethodPost, action, "application/x-www-form-urlencoded", strings.NewReader(values.Encode()))
		f.Clock.Pass(time.Minute)
	}
	action, values := firstForm(p.HTML())
	if action != step {
		t.Fatalf("after signing in the form goes to %q, want %s", action, step)
	}
	if values.Has("password") {
		t.Error("the password rides along")
	}
	p = lead.Do(http.MethodPost, action, "application/x-www-form-urlencoded", strings.NewReader(values.Encode()))
	if p.Path != step || p.Status != http.StatusOK {
		t.Fatalf("sent again: status %d at %s", p.Status, p.Path)
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if want := strings.TrimSpace(strings.ReplaceAll(typed, "\r\n", "\n")); stored.Spec.Hypothesis != want {
		t.Errorf("kept %q, want %q", stored.Spec.Hypothesis, want)
	}
}

// TestAFileAfterTheSessionsEnd: a file cannot be kept on a page, and the page says so;
// what was typed beside it is.
func TestAFileAfterTheSessionsEnd(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	f.Clock.Pass(panel.SessionLength + time.Minute)
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	part, err := w.CreateFormFile("file", "study.yaml")
	f.Must(err)
	_, err = part.Write([]byte(servertest.Custard))
	f.Must(err)
	f.Must(w.WriteField("text", "typed"))
	f.Must(w.Close())
	p := lead.Do(http.MethodPost, "/studies/upload", w.FormDataContentType(), &b)
	if _, values := firstForm(p.HTML()); values.Get("again.text") != "typed" ||
		!strings.Contains(p.Body, "A file has to be chosen again") {
		t.Errorf("status %d, carried %v", p.Status, values)
	}
}

// TestSignInGoesOnToTheWholeAddress: what stands behind the question mark too.
func TestSignInGoesOnToTheWholeAddress(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	lead := f.Lead()
	f.Clock.Pass(panel.SessionLength + time.Minute)
	p := lead.Get("/studies/" + string(id) + "/edit/size?spread=11")
	if got := p.HTML().Find("input[name=to]").AttrOr("value", ""); got != "/studies/"+string(id)+
		"/edit/size?spread=11" {
		t.Errorf("goes on to %q", got)
	}
}

func TestChangePassword(t *testing.T) {
	const next = "seven lids on one shelf"
	for _, tc := range []struct{ name, current, next, again, wrong string }{
		{"wrong password", "guess", next, next, "current"},
		{"too short", servertest.LeadPassword, "short", "short", "next"},
		{"typed differently", servertest.LeadPassword, next, next + "x", "again"},
		{"right", servertest.LeadPassword, next, next, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.New(t)
			lead, elsewhere := f.Lead(), f.Lead()
			p := lead.Post("/password", "current", tc.current, "next", tc.next, "again", tc.again)
			if tc.wrong != "" {
				if p.Status != http.StatusUnprocessableEntity || p.HTML().Find("#"+tc.wrong+"-wrong").Length() != 1 {
					t.Errorf("status %d without a problem at %s", p.Status, tc.wrong)
				}
				if q := elsewhere.Get("/studies"); q.Path != "/studies" {
					t.Error("nothing was changed, and the other session ended")
				}
				return
			}
			if p.HTML().Find(`[role=status]`).Length() != 1 {
				t.Errorf("status %d, and no word that it is done", p.Status)
			}
			if q := lead.Get("/studies"); q.Path != "/studies" {
				t.Errorf("signed out here: at %s", q.Path)
			}
			if q := elsewhere.Get("/studies"); q.Path != "/sign-in" {
				t.Errorf("still signed in elsewhere: at %s", q.Path)
			}
			if q := f.Visitor().Post("/sign-in", "password", next); q.Path != "/studies" {
				t.Errorf("the new password leads to %s", q.Path)
			}
			if q := f.Visitor().Post("/sign-in", "password",
				servertest.LeadPassword); q.Status != http.StatusForbidden {
				t.Errorf("the old password: status %d", q.Status)
			}
		})
	}
}

func TestSignOutElsewhere(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	f.Clock.Pass(time.Hour)
	elsewhere := []*servertest.Visitor{f.Lead(), f.Lead()}
	told := func(p servertest.Page) string { return p.HTML().Find("#elsewhere").NextUntil("p.soft").Text() }
	if got := told(lead.Get("/password")); !strings.Contains(got, "on 2 more devices") ||
		strings.Count(got, "since ") != 2 {
		t.Errorf("before: %q", got)
	}
	p := lead.Post("/password/elsewhere")
	if got := told(p); p.Status != http.StatusOK || !strings.Contains(got, "Everywhere else you were signed out.") ||
		!strings.Contains(got, "Only here.") {
		t.Errorf("after: status %d, %q", p.Status, got)
	}
	for i, v := range elsewhere {
		if q := v.Get("/studies"); q.Path != "/sign-in" {
			t.Errorf("device %d is at %s", i+1, q.Path)
		}
	}
	if got := lead.Get("/log").HTML().Find("main").Text(); !strings.Contains(got, "signed out everywhere else") {
		t.Error("the log does not tell it")
	}
}
