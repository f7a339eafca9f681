package phones_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/server/servertest"
)

// postPlaces sends a form of several lists of one name.
func postPlaces(v *servertest.Visitor, path string, places ...string) servertest.Page {
	return v.Do(http.MethodPost, path, "application/x-www-form-urlencoded",
		strings.NewReader(url.Values{"rank": places}.Encode()))
}

// TestRehearsalOfAnOrder: a lead goes through the screens of an order; a place given twice
// comes back as it was chosen.
func TestRehearsalOfAnOrder(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Crusts)
	v := f.Lead()
	p := v.Get("/studies/" + string(id) + "/rehearsal/1/en/4") // after the welcome, the instructions and the warm-up
	form := p.HTML().Find("main form[novalidate]")
	if form.Find("select[name=rank]").Length() != 4 {
		t.Fatalf("screen 4: %s", p.HTML().Find("main").Text())
	}
	action := form.AttrOr("action", "")
	p = postPlaces(v, action, "2", "1", "2", "4")
	var kept []string
	p.HTML().Find("select[name=rank]").Each(func(_ int, s *goquery.Selection) {
		kept = append(kept, s.Find("option[selected]").AttrOr("value", "0"))
	})
	if p.Status != http.StatusUnprocessableEntity || strings.Join(kept, " ") != "2 1 2 4" ||
		!strings.Contains(p.HTML().Find("main").Text(), "Two of them have the same place") {
		t.Errorf("status %d, kept %q", p.Status, kept)
	}
	if p = postPlaces(v, action, "2", "1", "3", "4"); p.HTML().Find("h1").Text() != "Thank you" {
		t.Errorf("after the order: %q", p.HTML().Find("h1").Text())
	}
}
