package desk_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

func TestPartnerIsInvitedAndReads(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	lead, v := f.Lead(), f.Visitor()
	servertest.MustStatus(t, lead.Post("/people", "name", " ", "role", "partner"), http.StatusUnprocessableEntity)
	p := lead.Post("/people", "name", "Petra <b>", "role", "partner")
	link := strings.TrimPrefix(p.HTML().Find(".link").Text(), f.Web.URL)
	if !strings.HasPrefix(link, "/invitation/") {
		t.Fatalf("the invitation is %q", link)
	}
	servertest.MustStatus(t, lead.Post("/people", "name", "PETRA <b>", "role", "monitor"),
		http.StatusUnprocessableEntity)
	p = v.Get(link)
	servertest.MustStatus(t, p, http.StatusOK)
	if !strings.Contains(p.HTML().Find("main").Text(), "as Petra <b>. Whoever has your role reads them, signs "+
		"the plan") {
		t.Errorf("the invitation says %q", p.HTML().Find("main p").First().Text())
	}
	servertest.MustStatus(t, v.Post(link, "password", "short", "again", "short"), http.StatusUnprocessableEntity)
	servertest.MustStatus(t, v.Post(link, "password", "a lamp beside the ledger", "again", "a lamp"),
		http.StatusUnprocessableEntity)
	p = v.Post(link, "password", "a lamp beside the ledger", "again", "a lamp beside the ledger")
	if p.Path != "/studies" || !strings.Contains(p.Body, servertest.CanaryTitle) {
		t.Fatalf("the partner ends at %s (%d)", p.Path, p.Status)
	}
	servertest.MustStatus(t, f.Visitor().Get(link), http.StatusNotFound) // it works once

	p = v.Get("/studies/" + string(id))
	if got := p.HTML().Find("main form, main .join, main a[href$='/close']").Length(); got != 0 {
		t.Errorf("the open study shows the partner %d things to change", got)
	}
	if p.HTML().Find(".hash").Length() != 2 || p.HTML().Find("#live .counts").Length() != 1 {
		t.Error("the partner sees no hashes, a seed beside them, or no board")
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if got := v.Get("/studies/" + string(id)).HTML().Find(".downloads a").Length(); got < 3 {
		t.Errorf("%d downloads after close, want at least 3", got)
	}
	end := servertest.ActionEnding(lead.Get("/people"), "/end")
	lead.Post(end)
	if p = v.First("GET", "/studies"); p.Status != http.StatusSeeOther {
		t.Errorf("shut out, the partner gets %d", p.Status)
	}
	servertest.MustStatus(t, lead.Post(end), http.StatusNotFound)
}

// TestSeveralLeads: another lead does what the owner does, but for the users; the log says who did.
func TestSeveralLeads(t *testing.T) {
	f := servertest.New(t)
	other := f.User("Ada", panel.RoleLead)
	id := f.Uploaded(servertest.Custard)
	servertest.MustStatus(t, other.Post("/studies/"+string(id)+"/archive"), http.StatusOK)
	log := f.Events(id)
	if e := log[len(log)-1]; e.Who != "lead Ada" || e.What != "archived" {
		t.Errorf("the last entry of the log is %+v", e)
	}
	p := other.Get("/people")
	servertest.MustStatus(t, p, http.StatusOK)
	if p.HTML().Find("main form").Length() != 0 || !strings.Contains(p.HTML().Find("main").Text(), "Ada (you)") {
		t.Errorf("another lead can change users, or does not find herself:\n%s", p.HTML().Find("main").Text())
	}
	for _, path := range []string{"/people", "/people/first/end", "/studies/" + string(id) + "/people"} {
		servertest.MustStatus(t, other.Post(path, "name", "Ben", "role", "lead"), http.StatusForbidden)
	}
	servertest.MustStatus(t, other.Get("/log"), http.StatusForbidden)
	if n := other.Get("/studies").HTML().Find(`a[href="/studies/new"]`).Length(); n == 0 {
		t.Error("another lead cannot begin a study")
	}
	for who, n := range map[*servertest.Visitor]int{other: 0, f.Lead(): 1} {
		if got := who.Get("/password").HTML().Find(`a[href="/log"]`).Length(); got != n {
			t.Errorf("%d ways to the service's log, want %d", got, n)
		}
	}
	servertest.MustStatus(t, f.Lead().Post("/people/first/end"), http.StatusForbidden)
	if p := f.Lead().Get("/people"); p.HTML().Find("main form").Length() < 4 {
		t.Error("the owner cannot change users")
	}
}

// TestRoleInASingleStudy: a user whom the owner gives a role in a study finds that one and no other.
func TestRoleInASingleStudy(t *testing.T) {
	f := servertest.New(t)
	here, _ := f.InState(servertest.Custard, panel.Open)
	elsewhere := f.Uploaded(servertest.Custard)
	lead, v := f.Lead(), f.User("Nora", panel.RoleNamed)
	at := "/studies/" + string(here)
	listed := func() int { return v.Get("/studies").HTML().Find("ul.studies a").Length() }
	if listed() != 0 {
		t.Error("a user without a role sees studies")
	}
	servertest.MustStatus(t, v.Get(at), http.StatusNotFound)
	p := lead.Get(at + "/people")
	user := p.HTML().Find("#user option").AttrOr("value", "")
	give := func(role string) {
		t.Helper()
		servertest.MustStatus(t, lead.Post(at+"/people", "user", user, "role", role), http.StatusOK)
	}
	servertest.MustStatus(t, lead.Post(at+"/people", "user", user), http.StatusUnprocessableEntity)
	give("monitor")
	if listed() != 1 {
		t.Error("the monitor of one study does not see one")
	}
	p = v.Get(at)
	servertest.MustStatus(t, p, http.StatusOK)
	servertest.MustStatus(t, v.Get(at+"/log"), http.StatusOK)
	servertest.MustStatus(t, v.Get("/studies/"+string(elsewhere)), http.StatusNotFound)
	servertest.MustStatus(t, v.Get("/studies/record"), http.StatusForbidden)
	servertest.MustStatus(t, v.Get(at+"/close"), http.StatusForbidden)
	for _, hidden := range []string{servertest.NameA, servertest.CanarySampleA} {
		if strings.Contains(v.Get(at+"/board").All()+v.Get(at+"/log").All(), hidden) {
			t.Errorf("the monitor of an open study reads %q", hidden)
		}
	}
	give("lead")
	p = v.Get(at + "/close")
	servertest.MustStatus(t, p, http.StatusOK)
	if p.HTML().Find(`a[href="/studies/new"], a[href="/people"]`).Length() != 0 {
		t.Error("the lead of one study is shown what is refused")
	}
	servertest.MustStatus(t, v.Get("/log"), http.StatusForbidden)
	servertest.MustStatus(t, v.Get("/studies/new"), http.StatusForbidden)
	servertest.MustStatus(t, v.Get("/people"), http.StatusForbidden)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, here))
	give("monitor")
	p = v.Get(at)
	for _, file := range []string{"data.zip", "ratings.csv", "key.csv", "findings.json"} {
		if strings.Contains(p.Body, file) {
			t.Errorf("the monitor is offered %s", file)
		}
		servertest.MustStatus(t, v.Get(at+"/"+file), http.StatusForbidden)
	}
	give("named")
	if listed() != 0 {
		t.Error("the role was taken back, and the study is still listed")
	}
	servertest.MustStatus(t, v.Get(at), http.StatusNotFound)
}

// TestServiceIsHandedOver: the owner makes another lead the owner on a page of its own, with the password.
func TestServiceIsHandedOver(t *testing.T) {
	f := servertest.New(t)
	owner, ada, petra := f.Lead(), f.User("Ada", panel.RoleLead), f.User("Petra", panel.RolePartner)
	page := owner.Get("/people").HTML()
	over := page.Find(`a[href$="/owner"]`)
	at := over.AttrOr("href", "")
	if over.Length() != 1 || over.Text() != "Make Ada the owner…" {
		t.Fatalf("the service can be handed over at %d places, at %q", over.Length(), over.Text())
	}
	for _, v := range []*servertest.Visitor{ada, petra} {
		servertest.MustStatus(t, v.Get(at), http.StatusForbidden)
		servertest.MustStatus(t, v.Post(at, "current", servertest.UserPassword), http.StatusForbidden)
	}
	servertest.MustStatus(t, owner.Get("/people/first/owner"), http.StatusNotFound)
	p := owner.Post(at, "current", servertest.UserPassword)
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	if p.HTML().Find("#current-wrong").Length() != 1 {
		t.Error("a wrong password is not said at its field")
	}
	f.Clock.Pass(time.Minute)
	p = owner.Post(at, "current", servertest.LeadPassword)
	if p.Path != "/people" || p.HTML().Find("main form").Length() != 0 || p.HTML().Find(".saved").Length() != 1 {
		t.Errorf("after handing over, %s has %d forms", p.Path, p.HTML().Find("main form").Length())
	}
	servertest.MustStatus(t, owner.Get("/log"), http.StatusForbidden)
	servertest.MustStatus(t, ada.Get("/log"), http.StatusOK)
	if n := ada.Get("/people").HTML().Find("main form").Length(); n < 4 {
		t.Errorf("the new owner has %d forms", n)
	}
}

// TestOwnerRenamesUsers: a name that is taken comes back at its field; the owner renames herself, too.
func TestOwnerRenamesUsers(t *testing.T) {
	f := servertest.New(t)
	owner := f.Lead()
	f.User("Ada", panel.RoleLead)
	at := servertest.ActionEnding(owner.Get("/people"), "/end")
	id := strings.TrimSuffix(strings.TrimPrefix(at, "/people/"), "/end")
	field := "name-" + id
	p := owner.Post("/people/"+id+"/name", field, " ")
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	if p.HTML().Find("#"+field+"-wrong").Length() != 1 || p.HTML().Find("details[open] #"+field).Length() != 1 {
		t.Error("what is wrong with the name is not said at its field")
	}
	p = owner.Post("/people/"+id+"/name", field, "Ada <i>")
	if p.Path != "/people" || !strings.Contains(p.HTML().Find("h2").Text(), "Ada <i>") {
		t.Errorf("renamed, %s lists %q", p.Path, p.HTML().Find("h2").Text())
	}
	p = owner.Post("/people/first/name", "name-first", "Ines Ö")
	if !strings.Contains(p.HTML().Find("h2").Text(), "Ines Ö (you)") {
		t.Errorf("the owner is renamed: %q", p.HTML().Find("h2").Text())
	}
}
