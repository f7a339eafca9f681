package server_test

import (
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// form is one that a page offered, as it would be sent, and who was offered it.
type form struct {
	action string
	values url.Values
	by     *servertest.Visitor
}

// formsOn are the forms of a page.
func formsOn(v *servertest.Visitor, p servertest.Page) (all []form) {
	p.HTML().Find("form[method=post]").Each(func(_ int, s *goquery.Selection) {
		x := form{s.AttrOr("action", p.Path), url.Values{}, v}
		if x.action == "/sign-out" {
			return
		}
		s.Find("input[name], textarea[name], select[name], button[name]").Each(func(_ int, in *goquery.Selection) {
			value := in.AttrOr("value", in.Text())
			if in.Is("select") {
				value = in.Find("option").Last().AttrOr("value", "")
			}
			x.values.Set(in.AttrOr("name", ""), value)
		})
		all = append(all, x)
	})
	return all
}

// nasty are values that no field offers.
var nasty = []string{"", "0", "-1", "1", "3", "4.5", "1e309", "-0", "NaN", "Infinity", "99999999999999999999", "007",
	"١٢٣", "\x00", "\xff\xfe", "%00", "../../etc/passwd", "' OR 1=1 --", "{{.}}", "true", "2026-13-45", "a: [b",
	"&x *x", "- - - -", "🍮", strings.Repeat("x", 300), strings.Repeat("é\n", 5000), "text: |\n  lines", "yes",
	"canarysampleA", "salt", "hedonic-9"}

// spoilt is a form in which something is as no page would send it.
func (x form) spoilt(random *rand.Rand) url.Values {
	values := url.Values{}
	var names []string
	for name, v := range x.values {
		values[name] = append([]string{}, v...)
		names = append(names, name)
	}
	slices.Sort(names)
	for range random.IntN(4) {
		name := "made-up"
		if len(names) > 0 {
			name = names[random.IntN(len(names))]
		}
		switch random.IntN(5) {
		case 0:
			values.Del(name)
		case 1:
			values.Add(name, nasty[random.IntN(len(nasty))])
		default:
			values.Set(name, nasty[random.IntN(len(nasty))])
		}
	}
	return values
}

// TestNoFormBreaksTheService: forms that were changed on the way, sent again and again in any
// order by everybody, are taken or refused in words; the service never fails. With
// CLOCHE_DRAWS=new they are others each time, and many more.
func TestNoFormBreaksTheService(t *testing.T) {
	seed, most := uint64(1), 400
	if os.Getenv("CLOCHE_DRAWS") == "new" {
		seed, most = uint64(time.Now().UnixNano()), 4_000
	}
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 3))
	f := servertest.New(t)
	var forms []form
	for sent := 0; sent < most; sent++ {
		if sent%200 == 0 { // what was closed, deleted or answered offers little
			f.Clock.Pass(10 * time.Minute) // wrong passwords and codes slow down
			forms = everyForm(f)
		}
		x := forms[random.IntN(len(forms))]
		values := x.spoilt(random)
		p := x.by.Do(http.MethodPost, x.action, "application/x-www-form-urlencoded", strings.NewReader(values.Encode()))
		if p.Status >= http.StatusInternalServerError && p.Status != http.StatusServiceUnavailable {
			log := strings.Split(f.Log.String(), "\n")
			t.Fatalf("seed %d, form %d: %s with %q: status %d\n%s", seed, sent, x.action, values, p.Status,
				strings.Join(log[max(0, len(log)-4):], "\n"))
		}
		if random.IntN(3) == 0 {
			forms = append(forms, formsOn(x.by, p)...)
		}
	}
}

// everyForm are the forms of all screens of new studies, for those who are shown them.
func everyForm(f *servertest.Fixture) (all []form) {
	f.T.Helper()
	lead, guest := f.Lead(), f.Visitor()
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Began(join, "a-guest-for-the-forms")
	floor, kitchen := f.Staff(id, panel.RoleFloor), f.Staff(id, panel.RoleKitchen)
	look := func(v *servertest.Visitor, paths ...string) {
		for _, path := range paths {
			all = append(all, formsOn(v, v.Get(path))...)
		}
	}
	token := f.Began(join, "a-guest-who-sends-forms")
	seat := "/t/" + string(token)
	look(guest, "/join/"+string(join), seat, seat+"/change", seat+"/withdraw")
	look(floor, "/floor", "/floor?show=all", f.FloorLinks(floor)[0][0], "/floor/guest", "/floor/blind")
	look(kitchen, "/kitchen", "/kitchen/blind", "/kitchen/plating")
	draft, closed := f.Uploaded(servertest.Custard), panel.StudyID("")
	closed, _ = f.InState(servertest.Custard, panel.Closed)
	locked, _ := f.InState(servertest.Custard, panel.Locked)
	at := "/studies/"
	look(lead, at+"new", at+"upload", at+"record", "/people", at+string(draft), at+string(locked), at+string(closed),
		at+string(id), at+string(id)+"/close", at+string(id)+"/take-out", at+string(locked)+"/prepare",
		at+string(closed)+"/amend", at+string(draft)+"/rehearsal")
	for _, step := range append(servertest.BuilderSteps, "lock", "text") {
		look(lead, at+string(draft)+"/edit/"+step)
	}
	for _, screen := range []string{"names", "plate", "contains", "first", "change", "guests", "check"} {
		look(lead, at+string(draft)+"/quick/"+screen)
	}
	return all
}
