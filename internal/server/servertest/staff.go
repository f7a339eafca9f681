package servertest

import (
	"cloche/internal/design"
	"cloche/internal/panel"
)

// LeadSession returns the lead's session, for the calls that panel checks.
func (f *Fixture) LeadSession() panel.Session {
	f.T.Helper()
	has, err := f.Svc.HasPassword(f.T.Context())
	f.Must(err)
	if !has {
		f.Must(f.Svc.SetPassword(f.T.Context(), LeadName, LeadPassword))
	}
	token, err := f.Svc.SignIn(f.T.Context(), LeadPassword, "test")
	f.Must(err)
	by, err := f.Svc.Session(f.T.Context(), token)
	f.Must(err)
	return by
}

// StaffAccess returns the link and code of kitchen or floor at a study's first
// sitting.
func (f *Fixture) StaffAccess(id panel.StudyID, r panel.Role) panel.StaffAccess {
	f.T.Helper()
	sittings, err := f.Svc.Sittings(f.T.Context(), id)
	f.Must(err)
	all, err := f.Svc.StaffAccess(f.T.Context(), f.LeadSession(), sittings[0].ID)
	f.Must(err)
	for _, a := range all {
		if a.Role == r {
			return a
		}
	}
	f.T.Fatalf("no link for %s", r)
	return panel.StaffAccess{}
}

// Staff returns a browser that joined a study's first sitting as kitchen or floor.
func (f *Fixture) Staff(id panel.StudyID, r panel.Role) *Visitor {
	f.T.Helper()
	a, v := f.StaffAccess(id, r), f.Visitor()
	if p := v.Post("/staff/"+string(a.Link), "code", string(a.Code)); p.Path != "/"+r.String() {
		f.T.Fatalf("joining as %s ended at %s with %d", r, p.Path, p.Status)
	}
	return v
}

// Began seats an assessor with a phone and lets them begin.
func (f *Fixture) Began(join panel.JoinToken, nonce string) (token panel.SeatToken) {
	f.T.Helper()
	token, err := f.Svc.Consent(f.T.Context(), join, nonce, panel.PhoneConsent{})
	f.Must(err)
	f.Must(f.Svc.Start(f.T.Context(), token))
	return token
}

// OnTablet seats a guest without a phone and opens their ballot on the house's tablet.
func (f *Fixture) OnTablet(id panel.StudyID, nonce string) panel.SeatToken {
	f.T.Helper()
	ctx := f.T.Context()
	sittings, err := f.Svc.Sittings(ctx, id)
	f.Must(err)
	by := panel.Session{Role: panel.RoleFloor, StudyID: id, SittingID: sittings[0].ID, Label: "1"}
	seat, err := f.Svc.SeatGuest(ctx, by, nonce, panel.GuestConsent{AllergensRead: true, ConsentRead: true})
	f.Must(err)
	code, err := f.Svc.HandTablet(ctx, by, seat.ID)
	f.Must(err)
	token, err := f.Svc.TakeTablet(ctx, code, nonce)
	f.Must(err)
	return token
}

// FloorLinks returns, for each seat that waits, its page and the address of the
// form that serves it.
func (f *Fixture) FloorLinks(v *Visitor) [][2]string {
	f.T.Helper()
	doc := v.Get("/floor").HTML()
	var list [][2]string
	for i := range doc.Find(".seat").Length() {
		s := doc.Find(".seat").Eq(i)
		list = append(list, [2]string{s.Find("a").AttrOr("href", ""), s.Find("form").AttrOr("action", "")})
	}
	return list
}

// ActionEnding finds the form of a page whose address ends so.
func ActionEnding(p Page, end string) string {
	p.T.Helper()
	to := p.HTML().Find("form[action$='"+end+"']").AttrOr("action", "")
	if to == "" {
		p.T.Fatalf("%s has no form to …%s", p.Path, end)
	}
	return to
}

// StaffToken joins a study's first sitting and returns the session's token.
func (f *Fixture) StaffToken(id panel.StudyID, r panel.Role) panel.SessionToken {
	f.T.Helper()
	a := f.StaffAccess(id, r)
	token, _, err := f.Svc.JoinStaff(f.T.Context(), a.Link, a.Code, "test of names")
	f.Must(err)
	return token
}

// Code returns the blinding code of a serving of the first place, from 0.
func (f *Fixture) Code(id panel.StudyID, at int) string {
	f.T.Helper()
	stored, err := f.Svc.Study(f.T.Context(), id)
	f.Must(err)
	plan, err := design.Draw(stored.Spec, design.Options{Seed: stored.Lock.Seed})
	f.Must(err)
	for _, v := range plan.Servings {
		if v.Assessor == 0 && at == 0 {
			return string(v.Code)
		}
		if v.Assessor == 0 {
			at--
		}
	}
	f.T.Fatalf("the plan has no serving %d for the first place", at)
	return ""
}
