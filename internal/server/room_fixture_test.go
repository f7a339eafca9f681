package server_test

import (
	"net/http"
	"testing"

	"cloche/internal/panel"
)

// leadSession returns the lead's session, for the calls that panel checks.
func (f *fixture) leadSession() panel.Session {
	f.t.Helper()
	has, err := f.svc.HasPassword(f.t.Context())
	f.must(err)
	if !has {
		f.must(f.svc.SetPassword(f.t.Context(), leadPassword))
	}
	token, err := f.svc.SignInAs(f.t.Context(), panel.RoleLead, leadPassword, "test")
	f.must(err)
	by, err := f.svc.Session(f.t.Context(), token)
	f.must(err)
	return by
}

// staffAccess returns the link and code of kitchen or floor at a study's first
// sitting.
func (f *fixture) staffAccess(id string, r panel.Role) panel.StaffAccess {
	f.t.Helper()
	sittings, err := f.svc.Sittings(f.t.Context(), id)
	f.must(err)
	all, err := f.svc.StaffAccess(f.t.Context(), f.leadSession(), sittings[0].ID)
	f.must(err)
	for _, a := range all {
		if a.Role == r {
			return a
		}
	}
	f.t.Fatalf("no link for %s", r)
	return panel.StaffAccess{}
}

// staff returns a browser that joined a study's first sitting as kitchen or floor.
func (f *fixture) staff(id string, r panel.Role) *visitor {
	f.t.Helper()
	a, v := f.staffAccess(id, r), f.visitor()
	if p := v.post("/staff/"+a.Link, "code", a.Code); p.path != "/"+r.String() {
		f.t.Fatalf("joining as %s ended at %s with %d", r, p.path, p.status)
	}
	return v
}

// began seats an assessor with a phone and lets them begin.
func (f *fixture) began(join, nonce string) (token string) {
	f.t.Helper()
	token, err := f.svc.Consent(f.t.Context(), join, nonce, panel.PhoneConsent{})
	f.must(err)
	f.must(f.svc.Start(f.t.Context(), token))
	return token
}

func mustStatus(t testing.TB, p page, want int) {
	t.Helper()
	if p.status != want {
		t.Fatalf("%s: status %d, want %d (%s: %s)", p.path, p.status, want, http.StatusText(p.status), p.html().Find("main").Text())
	}
}
