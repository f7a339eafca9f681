package server_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
)

func TestPartnerIsInvitedAndReads(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(custard, panel.Open)
	lead, v := f.lead(), f.visitor()
	p := lead.post("/partner/invite")
	link := strings.TrimPrefix(p.html().Find(".link").Text(), f.web.URL)
	if !strings.HasPrefix(link, "/invitation/") {
		t.Fatalf("the invitation is %q", link)
	}
	mustStatus(t, v.get(link), http.StatusOK)
	mustStatus(t, v.post(link, "password", "short", "again", "short"), http.StatusUnprocessableEntity)
	mustStatus(t, v.post(link, "password", "a lamp beside the ledger", "again", "a lamp"), http.StatusUnprocessableEntity)
	p = v.post(link, "password", "a lamp beside the ledger", "again", "a lamp beside the ledger")
	if p.path != "/studies" || !strings.Contains(p.body, canaryTitle) {
		t.Fatalf("the partner ends at %s (%d)", p.path, p.status)
	}
	mustStatus(t, f.visitor().get(link), http.StatusNotFound) // it works once

	p = v.get("/studies/" + id)
	if got := p.html().Find("main form, main .join, main a[href$='/close']").Length(); got != 0 {
		t.Errorf("the open study shows the partner %d things to change", got)
	}
	if p.html().Find(".hash").Length() != 2 || p.html().Find("#live .counts").Length() != 1 {
		t.Error("the partner sees no hashes, a seed beside them, or no board")
	}
	f.must(f.svc.Close(t.Context(), id))
	if got := v.get("/studies/" + id).html().Find(".downloads a").Length(); got < 3 {
		t.Errorf("%d downloads after close, want at least 3", got)
	}
	lead.post("/partner/end")
	if p = v.first("GET", "/studies"); p.status != other {
		t.Errorf("shut out, the partner gets %d", p.status)
	}
}
