package server_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestEveryAnswerSaysWhatBrowsersMayDo: pages, pictures, data, downloads, assets, refusals and what is
// not there: no script or style inside a page, no frame around it, no guessing of kinds, nothing kept
// by caches but assets, no link told to other sites, and a kind with its characters.
func TestEveryAnswerSaysWhatBrowsersMayDo(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Closed)
	open, join := f.InState(servertest.Custard, panel.Open)
	lead, at := f.Lead(), "/studies/"+string(id)
	asset := lead.Get("/studies").HTML().Find("link[rel=stylesheet]").AttrOr("href", "none")
	for _, path := range []string{"/studies", at, at + "/plan", at + "/card.svg", at + "/findings.json",
		at + "/key.csv", at + "/data.zip", "/studies/" + string(open) + "/key.csv", "/kitchen",
		"/join/" + string(join), "/join/none",
		"/t/none", "/nowhere", "/help/words", "/sign-in", "/healthz", asset} {
		h := lead.Get(path).Header
		policy := h.Get("Content-Security-Policy")
		for _, part := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "base-uri 'none'",
			"frame-ancestors 'none'", "form-action 'self'"} {
			if !strings.Contains(policy+";", part+";") {
				t.Errorf("%s: the policy %q lacks %s", path, policy, part)
			}
		}
		if strings.Contains(policy, "unsafe") || h.Get("X-Content-Type-Options") != "nosniff" ||
			h.Get("Referrer-Policy") != "same-origin" || h.Get("Content-Type") == "" {
			t.Errorf("%s: %v", path, h)
		}
		if kept := h.Get("Cache-Control"); kept != "no-store" && path != asset {
			t.Errorf("%s may be kept: %q", path, kept)
		}
		if kind := h.Get("Content-Type"); strings.HasPrefix(kind, "text/") && !strings.Contains(kind, "charset=utf-8") {
			t.Errorf("%s is %s", path, kind)
		}
		if h.Get("Access-Control-Allow-Origin") != "" || h.Get("Server") != "" || h.Get("X-Powered-By") != "" {
			t.Errorf("%s tells too much, or lets others read: %v", path, h)
		}
	}
}

// TestFormsThatAreTooLargeAreRefused: of whoever sends them, before anything is looked up.
func TestFormsThatAreTooLargeAreRefused(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	lead, large := f.Lead(), strings.Repeat("x", 4<<20)
	for path, v := range map[string]*servertest.Visitor{"/sign-in": f.Visitor(), "/staff/none": f.Visitor(),
		"/join/" + string(join) + "/consent": f.Visitor(), f.Begun(join) + "/start": f.Visitor(),
		"/studies/" + string(id) + "/archive": lead, "/studies": lead} {
		if p := v.Post(path, "large", large); p.Status != http.StatusRequestEntityTooLarge {
			t.Errorf("%s with 4 MiB: status %d", path, p.Status)
		}
	}
}
