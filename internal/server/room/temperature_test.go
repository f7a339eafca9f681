package room_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestTemperatureIsAskedAgain: what is far from the study's temperature is kept only
// when somebody says that it is right, and a typing error can be corrected, in the log.
func TestTemperatureIsAskedAgain(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	v := f.Staff(id, panel.RoleKitchen)
	entry := []string{"wave", "1", "dish", servertest.CanaryDish, "celsius", "131"}
	p := v.Post("/kitchen/temperatures", entry...)
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	if p.HTML().Find("#sure").Length() != 1 || v.Get("/kitchen").HTML().Find(".log li").Length() != 0 {
		t.Error("131 °C for a dish at 55 °C is kept, or not asked again")
	}
	servertest.MustStatus(t, v.Post("/kitchen/temperatures", "wave", "1", "dish", servertest.CanaryDish, "celsius",
		"-5", "sure", "131"), http.StatusUnprocessableEntity)
	v.Post("/kitchen/temperatures", append(entry, "sure", "131")...)
	log := v.Get("/kitchen").HTML().Find("#wave-1 .log li")
	if log.Length() != 1 || !strings.Contains(log.Text(), "131") ||
		!strings.Contains(log.Text(), "76 °C above the 55 °C") {
		t.Fatalf("the log says %q", log.Text())
	}
	p = v.Get(strings.TrimSuffix(log.Find("a").AttrOr("href", ""), "#measure"))
	number := p.HTML().Find("[name=corrects]").AttrOr("value", "")
	if number == "" || p.HTML().Find("#celsius").AttrOr("value", "") != "131" {
		t.Fatalf("the form to correct it holds %q", p.HTML().Find(".measure").Text())
	}
	v.Post("/kitchen/temperatures", "wave", "1", "dish", servertest.CanaryDish, "celsius", "53,1", "corrects", number)
	log = v.Get("/kitchen").HTML().Find("#wave-1 .log li")
	if log.Length() != 1 || !strings.Contains(log.Text(), "53.1\u00a0°C") ||
		!strings.Contains(log.Text(), "corrected: was 131") || strings.Contains(log.Text(), "above the 55") {
		t.Errorf("after the correction the log says %q", log.Text())
	}
	servertest.MustStatus(t, v.Post("/kitchen/temperatures", "wave", "1", "dish", servertest.CanaryDish, "celsius",
		"54", "corrects", number), http.StatusConflict)
	said := ""
	events, err := f.Svc.Log(t.Context(), servertest.ByLead, id)
	f.Must(err)
	for _, e := range events.Entries {
		said += e.What + ": " + e.Detail + "\n"
	}
	if !strings.Contains(said, "wave 1: 131 °C\n") || !strings.Contains(said,
		"wave 1: 53.1 °C, corrects 131 °C of wave 1") {
		t.Errorf("the study's log: %s", said)
	}
}

func TestOneBrowserJoinsOnce(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	v := f.Staff(id, panel.RoleKitchen)
	a := f.StaffAccess(id, panel.RoleFloor)
	p := v.Post("/staff/"+string(a.Link), "code", string(a.Code))
	servertest.MustStatus(t, p, http.StatusConflict)
	if got := p.HTML().Find(".problems").Text(); !strings.Contains(got, "signed in as kitchen") {
		t.Errorf("the page says %q", got)
	}
	v.Post("/kitchen/leave")
	if p = v.Post("/staff/"+string(a.Link), "code", string(a.Code)); p.Path != "/floor" {
		t.Errorf("after signing out the code leads to %s", p.Path)
	}
}
