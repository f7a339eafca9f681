package desk_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// The lead is told when a look is due, takes it on the page and reads whether to go on; the
// partner reads its numbers there, and has no form for it.
func TestLeadTakesALookAndPartnerReadsIt(t *testing.T) {
	f := servertest.New(t)
	file := strings.NewReplacer("panel: {assessors: 12}", "panel: {assessors: 48, sittings: 3}",
		"attribute: salt,", "attribute: salt, looks: [12],").Replace(servertest.Custard)
	id, join := f.InState(file, panel.Open)
	at := "/studies/" + string(id)
	lead, partner := f.Lead(), f.Partner()
	form := "form[action='" + at + "/look']"
	says := func(v *servertest.Visitor) string { return v.Get(at).HTML().Find(".looks").Text() }
	for i := range 13 {
		if i == 5 && !strings.Contains(says(lead), "by which 12 people have rated both; so far 5 have") {
			t.Errorf("before it is due: %q", says(lead))
		}
		if lead.Get(at).HTML().Find(form).Length() > 0 != (i >= 12) {
			t.Errorf("after %d people the form of the look is there, or lacks", i)
		}
		f.Tasted(join, fmt.Sprint("guest-of-the-look-", i), fmt.Sprint(30+i), fmt.Sprint(40+i%4))
	}
	if partner.Get(at).HTML().Find(form).Length() > 0 {
		t.Error("the partner has the form of a look")
	}
	servertest.MustStatus(t, lead.Post(at+"/look"), http.StatusOK)
	if got := lead.Get(at); !strings.Contains(got.HTML().Find(".decision").First().Text(), "Go on.") ||
		strings.Contains(got.Body, "Mean difference") || got.HTML().Find(form).Length() > 0 {
		t.Errorf("after the look the lead reads %q, or numbers", got.HTML().Find(".decision").Text())
	}
	row := partner.Get(at).HTML().Find("#looked ~ .wide tbody tr").Text()
	if !strings.Contains(row, "13 of 48") || !strings.Contains(row, "go on") {
		t.Errorf("the partner reads %q", row)
	}
	f.Clock.Pass(time.Minute)
	servertest.MustStatus(t, lead.Post(at+"/look"), http.StatusConflict)
	plan := lead.Get(at + "/plan").HTML().Find("main").Text()
	if !strings.Contains(plan, "at 12 people") || !strings.Contains(plan, "at 48 people") {
		t.Error("the locked plan does not tell the looks")
	}
}

// Where evidence is counted the partner reads it on the page, the lead and floor whether to go on alone.
func TestPartnerReadsEvidence(t *testing.T) {
	f := servertest.New(t)
	file := strings.NewReplacer("panel: {assessors: 12}", "panel: {assessors: 48}",
		"attribute: salt,", "attribute: salt, evidence: mixture,").Replace(servertest.Custard)
	id, join := f.InState(file, panel.Open)
	at := "/studies/" + string(id)
	lead, partner := f.Lead(), f.Partner()
	for i := range 12 {
		f.Tasted(join, fmt.Sprint("guest-of-evidence-", i), fmt.Sprint(30+i), fmt.Sprint(40+i%4))
	}
	got := lead.Get(at)
	if told := got.HTML().Find(".decision").First().Text(); !strings.Contains(told, "Go on.") &&
		!strings.Contains(told, "Enough.") || strings.Contains(got.Body, "Evidence so far") {
		t.Errorf("the lead reads %q, or numbers", told)
	}
	numbers := partner.Get(at).HTML().Find("#evidence ~ .counts").Text()
	for _, want := range []string{"20 to 1 is enough", "12 of 48"} {
		if !strings.Contains(numbers, want) {
			t.Errorf("the partner does not read %q: %q", want, numbers)
		}
	}
	plan := lead.Get(at + "/plan").HTML().Find("main").Text()
	if !strings.Contains(plan, "Tasting stops as soon as it stands at 20 to 1, at 48 people at the latest") {
		t.Error("the locked plan does not tell when there is enough evidence")
	}
}
