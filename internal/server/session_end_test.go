package server_test

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
	f := newFixture(t)
	id := f.uploaded(custard)
	lead := f.lead()
	f.clock.pass(panel.SessionLength + time.Minute)
	const typed = "  A name & its <salt>:\r\n\"more\" than before?"
	step := "/studies/" + id + "/edit/question"
	p := lead.post(step, "revision", "1", "do", "save", "hypothesis", typed)
	if p.status != http.StatusForbidden || p.html().Find("#password").Length() != 1 {
		t.Fatalf("status %d, want the page that asks for the password", p.status)
	}
	for _, password := range []string{"wrong", leadPassword} {
		action, values := firstForm(p.html())
		if action != "/sign-in" {
			t.Fatalf("the form goes to %q", action)
		}
		values.Set("password", password)
		p = lead.do(http.MethodPost, action, "application/x-www-form-urlencoded", strings.NewReader(values.Encode()))
		f.clock.pass(time.Minute)
	}
	action, values := firstForm(p.html())
	if action != step {
		t.Fatalf("after signing in the form goes to %q, want %s", action, step)
	}
	if values.Has("password") {
		t.Error("the password rides along")
	}
	p = lead.do(http.MethodPost, action, "application/x-www-form-urlencoded", strings.NewReader(values.Encode()))
	if p.path != step || p.status != http.StatusOK {
		t.Fatalf("sent again: status %d at %s", p.status, p.path)
	}
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	if want := strings.TrimSpace(strings.ReplaceAll(typed, "\r\n", "\n")); kept.Asked.Hypothesis != want {
		t.Errorf("kept %q, want %q", kept.Asked.Hypothesis, want)
	}
}

// TestAFileAfterTheSessionsEnd: a file cannot be kept on a page, and the page says so;
// what was typed beside it is.
func TestAFileAfterTheSessionsEnd(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	f.clock.pass(panel.SessionLength + time.Minute)
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	part, err := w.CreateFormFile("file", "study.yaml")
	f.must(err)
	_, err = part.Write([]byte(custard))
	f.must(err)
	f.must(w.WriteField("text", "typed"))
	f.must(w.Close())
	p := lead.do(http.MethodPost, "/studies/upload", w.FormDataContentType(), &b)
	if _, values := firstForm(p.html()); values.Get("again.text") != "typed" || !strings.Contains(p.body, "A file has to be chosen again") {
		t.Errorf("status %d, carried %v", p.status, values)
	}
}

// TestSignInGoesOnToTheWholeAddress: what stands behind the question mark too.
func TestSignInGoesOnToTheWholeAddress(t *testing.T) {
	f := newFixture(t)
	id := f.uploaded(custard)
	lead := f.lead()
	f.clock.pass(panel.SessionLength + time.Minute)
	p := lead.get("/studies/" + id + "/edit/size?spread=11")
	if got := p.html().Find("input[name=to]").AttrOr("value", ""); got != "/studies/"+id+"/edit/size?spread=11" {
		t.Errorf("goes on to %q", got)
	}
}

// TestStaffStaySignedInForAServiceDay, from the morning's preparation to after midnight.
func TestStaffStaySignedInForAServiceDay(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(custard, panel.Open)
	lead, floor := f.lead(), f.staff(id, panel.RoleFloor)
	f.clock.pass(18 * time.Hour)
	if p := floor.get("/floor"); p.status != http.StatusOK || p.path != "/floor" {
		t.Errorf("floor after 18 hours: status %d at %s", p.status, p.path)
	}
	if p := lead.get("/studies"); p.path != "/studies" {
		t.Errorf("lead after 18 hours: at %s", p.path)
	}
}

func TestChangePassword(t *testing.T) {
	const next = "seven lids on one shelf"
	for _, tc := range []struct{ name, current, next, again, wrong string }{
		{"wrong password", "guess", next, next, "current"},
		{"too short", leadPassword, "short", "short", "next"},
		{"typed differently", leadPassword, next, next + "x", "again"},
		{"right", leadPassword, next, next, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := newFixture(t)
			lead, elsewhere := f.lead(), f.lead()
			p := lead.post("/password", "current", tc.current, "next", tc.next, "again", tc.again)
			if tc.wrong != "" {
				if p.status != http.StatusUnprocessableEntity || p.html().Find("#"+tc.wrong+"-wrong").Length() != 1 {
					t.Errorf("status %d without a problem at %s", p.status, tc.wrong)
				}
				if q := elsewhere.get("/studies"); q.path != "/studies" {
					t.Error("nothing was changed, and the other session ended")
				}
				return
			}
			if p.html().Find(`[role=status]`).Length() != 1 {
				t.Errorf("status %d, and no word that it is done", p.status)
			}
			if q := lead.get("/studies"); q.path != "/studies" {
				t.Errorf("signed out here: at %s", q.path)
			}
			if q := elsewhere.get("/studies"); q.path != "/sign-in" {
				t.Errorf("still signed in elsewhere: at %s", q.path)
			}
			if q := f.visitor().post("/sign-in", "password", next); q.path != "/studies" {
				t.Errorf("the new password leads to %s", q.path)
			}
			if q := f.visitor().post("/sign-in", "password", leadPassword); q.status != http.StatusForbidden {
				t.Errorf("the old password: status %d", q.status)
			}
		})
	}
}
