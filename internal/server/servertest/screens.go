package servertest

import (
	"strings"

	"cloche/internal/panel"
	"cloche/internal/stamp/stamptest"
	"cloche/studies"
)

// BuilderSteps are the steps that have fields, in their order.
var BuilderSteps = []string{"question", "dishes", "names", "attributes", "expectation", "panel", "analysis", "size",
	"words"}

// EveryScreen returns an address of each screen, and for some what has to
// happen first. The lead's begin with /studies.
func (f *Fixture) EveryScreen(file string) (paths []string, prepare map[string]func()) {
	f.T.Helper()
	ctx := f.T.Context()
	_, open := f.InState(file, panel.Open)
	ballots := map[string]panel.SeatToken{}
	for _, name := range []string{"instructions", "serving", "done"} {
		token, err := f.Svc.Consent(ctx, open, "a-nonce-for-the-"+name, panel.PhoneConsent{})
		f.Must(err)
		ballots[name] = token
	}
	f.Must(f.Svc.Start(ctx, ballots["serving"]))
	f.Tasted(open, "a-nonce-for-the-done", "10", "20")
	resting, join := f.InState(strings.Replace(file, "rinse: 0 s", "rinse: 300 s", 1), panel.Open)
	f.Tasted(join, "a-nonce-for-the-rinse", "10")
	rinse, err := f.Svc.Consent(ctx, join, "a-nonce-for-the-rinse", panel.PhoneConsent{})
	f.Must(err)
	_, asking := f.InState(strings.Replace(file, "{assessors: 12}",
		"{assessors: 12, screening: [{id: senses}, {id: kitchen}]}", 1), panel.Open)
	unscreened, err := f.Svc.Consent(ctx, asking, "a-nonce-for-the-screening", panel.PhoneConsent{})
	f.Must(err)
	_, asksLast := f.InState(strings.Replace(file, "{assessors: 12}", "{assessors: 12, last question: same}", 1),
		panel.Open)
	f.Tasted(asksLast, "a-nonce-for-the-last-question", "10", "20")
	last, err := f.Svc.Consent(ctx, asksLast, "a-nonce-for-the-last-question", panel.PhoneConsent{})
	f.Must(err)
	_, gated := f.InState(strings.Replace(file, ", plate gate: false", "", 1), panel.Open)
	gate := f.Began(gated, "a-nonce-for-the-code-on-the-plate")
	lent := f.OnTablet(resting, "a-nonce-for-the-tablet")
	draft := f.Uploaded(file)
	closed, over := f.InState(file, panel.Closed)
	locked, _ := f.InState(file, panel.Locked)
	begun, err := f.Svc.Begin(ctx, ByLead, []byte(strings.Replace(file, "panel: {assessors: 12}\n", "", 1)), "")
	f.Must(err)
	halfDone := begun.ID
	f.Must(f.Svc.Countersign(ctx, panel.Session{Role: panel.RolePartner}, locked, strings.Repeat("X", panel.MaxSigner)))
	stored, err := f.Svc.Study(ctx, closed)
	f.Must(err)
	for _, id := range []panel.StudyID{locked, closed} { // one plan waits for its time stamp, one has it
		f.Must(f.Svc.RequestStamp(ctx, ByLead, id))
	}
	asked, err := f.Svc.TimeStamp(ctx, closed)
	f.Must(err)
	f.Must(f.Svc.KeepStamp(ctx, ByLead, closed,
		stamptest.New(f.T, stored.Lock.At, nil).Answer(asked.Request, stored.Lock.At, nil)))
	f.Must(f.Svc.NoteExport(ctx, panel.Session{Role: panel.RoleLead}, stored)) // so that the page asks to confirm
	put, err := f.Svc.Copy(ctx, ByLead, closed)
	f.Must(err)
	f.Must(f.Svc.Archive(ctx, ByLead, put.ID, true))
	rehearsal := "/studies/" + string(resting) + "/rehearsal/1/en/"
	prepare = map[string]func(){
		"/sign-in": func() { f.Must(f.Svc.SetPassword(ctx, LeadName, LeadPassword)) },
	}
	paths = []string{
		"/", "/setup", "/sign-in", "/join/" + string(open), "/join/" + string(over),
		"/join/" + string(open) + "/declined?n=a-guest-who-says-no",
		"/join/" + string(open) + "/declined?said=cannot-eat",
		"/t/" + string(unscreened), "/t/" + string(last), "/t/" + string(gate), "/t/" + string(ballots["instructions"]),
		"/t/" + string(ballots["serving"]),
		"/t/" + string(ballots["done"]),
		"/t/" + string(rinse), "/t/" + string(ballots["serving"]) + "/offline", "/t/" + string(rinse) + "/change",
		"/t/" + string(rinse) + "/late",
		"/t/" + string(rinse) + "/other-phone", "/t/" + string(rinse) + "/withdraw", "/t/" + string(rinse) + "/stop",
		"/t/" + string(lent), "/t/" + string(lent) + "/give-back",
		"/reach", "/studies", "/studies/new", "/password", "/log", "/studies/upload", "/studies/" + string(draft),
		"/studies/" + string(draft) + "/file",
		"/studies/" + string(draft) + "/dry-run", "/studies/" + string(draft) + "/dry-run?effect=none&draw=2",
		"/studies/" + string(halfDone) + "/rehearsal",
		rehearsal + "1", rehearsal + "1/declined", rehearsal + "2", rehearsal + "3", rehearsal + "3/withdraw",
		rehearsal + "3/withdrawn", rehearsal + "3/stop", rehearsal + "3/stopped", rehearsal + "4", rehearsal + "6",
		rehearsal + "7",
		"/studies/" + string(locked), "/studies/" + string(resting), "/studies/" + string(resting) + "/sittings/1/card",
		"/studies/" + string(resting) + "/sittings/1/cards",
		"/studies/" + string(resting) + "/close", "/studies/" + string(resting) + "/take-out",
		"/studies/" + string(resting) + "/tablet",
		"/studies/" + string(resting) + "/paper",
		"/studies/" + string(resting) + "/balance", "/studies/" + string(resting) + "/log",
		"/studies/" + string(closed),
	}
	paths = append(paths, "/studies?q=custard", "/studies?q=nothing+has+this", "/studies/"+string(locked)+"/plan",
		"/studies/"+string(closed)+"/plan",
		"/studies/"+string(locked)+"/amend", "/studies/"+string(resting)+"/amend",
		"/studies/"+string(resting)+"/delete", "/studies/"+string(closed)+"/delete")
	half, _ := f.Drafted(string(studies.StartName))
	for _, step := range append(BuilderSteps, "see", "lock", "text") {
		paths = append(paths, "/studies/"+string(draft)+"/edit/"+step, "/studies/"+string(half)+"/edit/"+step)
	}
	paths = append(paths, "/studies/record", "/help", "/help?q=allergens", "/help/operator", "/help/words",
		"/studies/"+string(locked)+"/prepare", "/studies/"+string(resting)+"/prepare")
	for _, screen := range []string{"names", "plate", "contains", "first", "change", "guests", "check"} {
		paths = append(paths, "/studies/"+string(draft)+"/quick/"+screen)
	}
	paths = append(paths, "/studies/"+string(half)+"/quick/names?missing=yes", "/studies/"+string(half)+"/quick/check")
	paths = append(paths, "/studies/new?all=yes")
	paths = append(paths, "/studies/"+string(draft)+"/edit/size?spread=15&power=90",
		"/studies/"+string(draft)+"/edit/size?spread=wide")
	described := "/studies/" + string(f.Described())
	return append(paths, "/studies/"+string(half), described, described+"/assessors"), prepare
}
