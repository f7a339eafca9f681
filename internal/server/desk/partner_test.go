package desk_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

func TestPartnerIsInvitedAndReads(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	lead, v := f.Lead(), f.Visitor()
	p := lead.Post("/partner/invite")
	link := strings.TrimPrefix(p.HTML().Find(".link").Text(), f.Web.URL)
	if !strings.HasPrefix(link, "/invitation/") {
		t.Fatalf("the invitation is %q", link)
	}
	servertest.MustStatus(t, v.Get(link), http.StatusOK)
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
	lead.Post("/partner/end")
	if p = v.First("GET", "/studies"); p.Status != http.StatusSeeOther {
		t.Errorf("shut out, the partner gets %d", p.Status)
	}
}
