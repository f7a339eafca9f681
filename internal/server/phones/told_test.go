package phones_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// telling is the custard's study, whose guests are told what was found.
var telling = strings.Replace(servertest.Custard, "{assessors: 12}", "{assessors: 12, tell result: true}", 1)

// dined is a study at which so many guests tasted, and what each of them rated.
func dined(t *testing.T, file string, guests int) (*servertest.Fixture, panel.StudyID, []string) {
	t.Helper()
	f := servertest.New(t)
	id, join := f.InState(file, panel.Open)
	var pages []string
	for i := range guests {
		nonce := fmt.Sprintf("nonce-of-a-guest-who-dines-%d", i)
		f.Tasted(join, nonce, strconv.Itoa(20+3*i), strconv.Itoa(71-5*i))
		token, err := f.Svc.Consent(t.Context(), join, nonce, panel.PhoneConsent{})
		f.Must(err)
		pages = append(pages, "/t/"+string(token))
	}
	return f, id, pages
}

// TestGuestsAreToldAfterTheClose: their own answers beside the average of everybody's, and
// never anything before.
func TestGuestsAreToldAfterTheClose(t *testing.T) {
	f, id, pages := dined(t, telling+servertest.InLanguages, 6)
	v := f.Visitor()
	if p := v.Get(pages[2]); p.HTML().Find(".told, #found").Length() != 0 || strings.Contains(p.All(), "told.") {
		t.Fatalf("before the close: %s", p.Body)
	} else if !strings.Contains(p.Body, "That was all.") {
		t.Errorf("before the close without the study's own thanks: %s", p.Body)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	p := v.Get(pages[2])
	doc := p.HTML()
	if got := doc.Find("main").Text(); strings.Contains(got, "That was all.") ||
		!strings.Contains(got, "Thank you for taking part.") {
		t.Errorf("after the close it thanks with what was to be said before: %s", got)
	}
	_, ratings, err := f.Svc.Ratings(t.Context(), id)
	f.Must(err)
	for _, x := range []struct{ sample, name string }{
		{servertest.CanarySampleA, servertest.NameA}, {servertest.CanarySampleB, servertest.NameB}} {
		own, sum := 0.0, 0.0
		for _, r := range ratings {
			if string(r.Sample) != x.sample || r.Attribute != "salt" {
				continue
			}
			sum += r.Value
			if r.Assessor == "3" {
				own = r.Value
			}
		}
		want := fmt.Sprintf("%s You: %gAverage of 6 guests: %g", x.name, own, sum/6)
		found := false
		for _, s := range doc.Find(".told-sample").EachIter() {
			s.Find(".ends").Remove()
			found = found || strings.Contains(strings.Join(strings.Fields(s.Text()), " "), want)
		}
		if !found {
			t.Errorf("no sample says %q: %s", want, doc.Find(".told").Text())
		}
	}
	if got := doc.Find(".told").Text(); !strings.Contains(got, "6 of 6 guests gave this answer") ||
		doc.Find("#found").Text() == "" {
		t.Errorf("the result says %s", got)
	}
	p = v.Get(pages[2] + "?in=fr")
	if got := p.HTML().Find(".told").Text(); !strings.Contains(got, "Moyenne de 6 convives") ||
		!strings.Contains(got, "crème brûlée au céleri-rave") {
		t.Errorf("in French: %s", got)
	}
	for _, x := range servertest.Canaries {
		if strings.Contains(p.All(), x) {
			t.Errorf("the page holds %q", x)
		}
	}
}

// TestGuestsAreNotTold: where the study does not say so, or who deleted their answers; and of
// fewer than five people there is no average.
func TestGuestsAreNotTold(t *testing.T) {
	f, id, pages := dined(t, telling, 4)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	v := f.Visitor()
	if got := v.Get(pages[0]).HTML().Find(".told").Text(); !strings.Contains(got, "You:") ||
		strings.Contains(got, "Average") || strings.Contains(got, "guests gave") {
		t.Errorf("of four people: %s", got)
	}
	v.Post(pages[0] + "/withdraw")
	if p := v.Get(pages[0]); p.HTML().Find(".told").Length() != 0 {
		t.Errorf("who took their answers out is told %s", p.HTML().Find(".told").Text())
	}
	f, id, pages = dined(t, servertest.Custard, 6)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if p := f.Visitor().Get(pages[0]); p.HTML().Find(".told").Length() != 0 ||
		!strings.Contains(p.Body, "Both were the same custard") {
		t.Errorf("a study that does not tell: %s", p.Body)
	}
}
