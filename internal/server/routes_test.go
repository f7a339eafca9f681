package server_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
)

// access is what one route gives to each role while the study is in each state:
// a status, 303 for a redirect. A lead's route sends everybody else to sign in.
type access struct {
	method, path string
	lead         [4]int   // draft, locked, open, closed
	partner      *[4]int  // where it differs from the lead on a route of both
	others       [4]int   // a stranger, and an assessor who tries
	shows        []string // in the lead's page when the status is 200
	hides        []string // never in anybody's answer before close
}

const (
	ok       = http.StatusOK
	other    = http.StatusSeeOther
	missing  = http.StatusNotFound
	conflict = http.StatusConflict
	bad      = http.StatusBadRequest

	unprocessable = http.StatusUnprocessableEntity
)

func always(status int) [4]int { return [4]int{status, status, status, status} }

// accessTable has a row for each line of the route table. {id} is the study,
// {join} its join link and {t} an assessor's personal link, both of which exist
// from the moment that the study is open. Signing in as the lead changes
// nothing on an assessor's routes.
var accessTable = []access{
	{method: "GET", path: "/", lead: always(ok), others: always(ok)},
	{method: "GET", path: "/healthz", lead: always(ok), others: always(ok)},
	{method: "GET", path: "/readyz", lead: always(ok), others: always(ok)},
	{method: "GET", path: "/assets/:version/*file", lead: always(missing), others: always(missing)},
	{method: "GET", path: "/worker.js", lead: always(ok), others: always(ok)},
	{method: "GET", path: "/setup", lead: always(other), others: always(other)},
	{method: "POST", path: "/setup", lead: always(http.StatusUnprocessableEntity),
		others: always(http.StatusUnprocessableEntity)},
	{method: "GET", path: "/sign-in", lead: always(other), others: always(ok)},
	{method: "POST", path: "/sign-in/passkey", lead: always(http.StatusForbidden),
		others: always(http.StatusForbidden)},
	{method: "POST", path: "/sign-in", lead: always(unprocessable), others: always(unprocessable)},

	{method: "GET", path: "/join/{join}", lead: [4]int{missing, missing, ok, ok},
		others: [4]int{missing, missing, ok, ok}},
	{method: "POST", path: "/join/{join}/consent", lead: always(bad), others: always(bad)},
	{method: "POST", path: "/join/{join}/decline", lead: always(bad), others: always(bad)},
	{method: "GET", path: "/join/{join}/declined", lead: [4]int{missing, missing, ok, ok},
		others: [4]int{missing, missing, ok, ok}},
	{method: "GET", path: "/t/{t}", lead: [4]int{missing, missing, ok, ok}, others: [4]int{missing, missing, ok, ok}},
	{method: "POST", path: "/t/{t}/screening", lead: [4]int{missing, missing, other, other},
		others: [4]int{missing, missing, other, other}},
	{method: "POST", path: "/t/{t}/start", lead: [4]int{missing, missing, other, other},
		others: [4]int{missing, missing, other, other}},
	{method: "POST", path: "/t/{t}/plate", lead: [4]int{missing, missing, other, other},
		others: [4]int{missing, missing, other, other}},
	{method: "POST", path: "/t/{t}/last", lead: [4]int{missing, missing, other, other},
		others: [4]int{missing, missing, other, other}},
	{method: "POST", path: "/t/{t}/turns/none", lead: always(missing), others: always(missing)},
	{method: "GET", path: "/t/{t}/ahead", lead: [4]int{missing, missing, ok, ok},
		others: [4]int{missing, missing, ok, ok}},
	{method: "GET", path: "/t/{t}/events", lead: [4]int{missing, missing, ok, ok},
		others: [4]int{missing, missing, ok, ok}, hides: []string{servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/t/{t}/offline", lead: [4]int{missing, missing, ok, ok},
		others: [4]int{missing, missing, ok, ok}},
	{method: "GET", path: "/t/{t}/change", lead: [4]int{missing, missing, other, other},
		others: [4]int{missing, missing, other, other}},
	{method: "GET", path: "/t/{t}/late", lead: [4]int{missing, missing, ok, ok},
		others: [4]int{missing, missing, ok, ok}},
	{method: "GET", path: "/t/{t}/other-phone", lead: [4]int{missing, missing, ok, other},
		others: [4]int{missing, missing, ok, other}},
	{method: "GET", path: "/t/{t}/give-back", lead: [4]int{missing, missing, other, other}, // it is on no tablet
		others: [4]int{missing, missing, other, other}},
	{method: "POST", path: "/t/{t}/give-back", lead: [4]int{missing, missing, other, other},
		others: [4]int{missing, missing, other, other}},
	{method: "GET", path: "/t/{t}/stop", lead: [4]int{missing, missing, ok, other},
		others: [4]int{missing, missing, ok, other}},
	{method: "GET", path: "/t/{t}/withdraw", lead: [4]int{missing, missing, ok, ok},
		others: [4]int{missing, missing, ok, ok}},

	{method: "GET", path: "/join/{join}/consent", lead: always(other), others: always(other)},
	{method: "GET", path: "/join/{join}/decline", lead: always(other), others: always(other)},
	{method: "GET", path: "/t/{t}/screening", lead: always(other), others: always(other)},
	{method: "GET", path: "/t/{t}/start", lead: always(other), others: always(other)},
	{method: "GET", path: "/t/{t}/plate", lead: always(other), others: always(other)},
	{method: "GET", path: "/t/{t}/last", lead: always(other), others: always(other)},
	{method: "GET", path: "/t/{t}/turns/none", lead: always(other), others: always(other)},

	{method: "GET", path: "/reach", lead: always(ok), others: always(ok)},
	{method: "GET", path: "/help", lead: always(ok), others: always(ok)},
	{method: "GET", path: "/help/chef", lead: always(ok), others: always(ok)},
	{method: "GET", path: "/studies/{id}/prepare", lead: [4]int{other, ok, ok, other}, others: always(other)},
	{method: "GET", path: "/studies", lead: always(ok), others: always(other), shows: []string{servertest.CanaryTitle}},
	{method: "GET", path: "/studies/new", lead: always(ok), others: always(other)},
	{method: "POST", path: "/studies", lead: always(other), others: always(other)},
	{method: "GET", path: "/studies/record", lead: always(ok), others: always(other)},
	{method: "POST", path: "/studies/record/join", lead: always(unprocessable), others: always(other)},
	{method: "POST", path: "/studies/record/leave", lead: always(missing), others: always(other)},
	{method: "GET", path: "/studies/upload", lead: always(ok), others: always(other)},
	{method: "POST", path: "/studies/upload", lead: always(http.StatusUnprocessableEntity), others: always(other)},
	{method: "GET", path: "/studies/{id}/edit/question", lead: [4]int{ok, other, other, other}, others: always(other),
		shows: []string{servertest.CanaryTitle, servertest.CanaryHypothesis}},
	{method: "GET", path: "/studies/{id}/size", lead: [4]int{ok, other, other, other}, others: always(other),
		shows: []string{"assessors are needed"}, hides: []string{servertest.CanaryTitle, servertest.CanaryHypothesis}},
	{method: "GET", path: "/studies/{id}/quick/check", lead: [4]int{ok, other, other, other}, others: always(other),
		shows: []string{servertest.NameA}},
	{method: "POST", path: "/studies/{id}/quick/check", lead: always(other), others: always(other)},
	{method: "POST", path: "/studies/{id}/photos/{dish}",
		lead: [4]int{http.StatusUnprocessableEntity, other, other, other}, others: always(other)},
	{method: "POST", path: "/studies/{id}/edit/question", lead: [4]int{conflict, other, other, other},
		others: always(other)},
	{method: "GET", path: "/studies/{id}", lead: always(ok), others: always(other),
		shows: []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.NameA, servertest.NameB},
		hides: []string{"ratings.csv", "key.csv", "findings.json", "report-verdict"}},
	{method: "GET", path: "/studies/{id}/file", lead: always(ok), others: always(other),
		shows: []string{servertest.CanaryHypothesis}},
	{method: "GET", path: "/studies/{id}/plan", lead: [4]int{conflict, ok, ok, ok}, others: always(other)},
	{method: "GET", path: "/studies/{id}/locked.sha256", lead: [4]int{conflict, ok, ok, ok}, others: always(other),
		shows: []string{"  study.json\n"}},
	{method: "GET", path: "/studies/{id}/time-stamp.tsq", lead: [4]int{conflict, missing, missing, missing},
		others: always(other)},
	{method: "GET", path: "/studies/{id}/time-stamp.tsr", lead: [4]int{conflict, missing, missing, missing},
		others: always(other)},
	{method: "GET", path: "/studies/{id}/plan.txt", lead: [4]int{conflict, ok, ok, ok}, others: always(other)},
	{method: "GET", path: "/studies/{id}/study.json", lead: [4]int{conflict, ok, ok, ok}, others: always(other)},
	{method: "GET", path: "/studies/{id}/data.zip", lead: [4]int{ok, ok, conflict, ok}, others: always(other),
		shows: []string{"PK"}},
	{method: "GET", path: "/studies/{id}/amend", lead: [4]int{conflict, ok, ok, ok}, others: always(other)},
	{method: "GET", path: "/studies/{id}/delete", lead: always(ok), others: always(other)},
	{method: "GET", path: "/studies/{id}/photos/{dish}", lead: always(ok), others: always(other),
		shows: []string{servertest.JpegMark}},
	{method: "GET", path: "/studies/{id}/balance", lead: always(ok), others: always(other),
		shows: []string{"Balance of the serving plan"}},
	{method: "GET", path: "/studies/{id}/log", lead: always(ok), others: always(other), shows: []string{"begun"}},
	{method: "GET", path: "/studies/{id}/log.txt", lead: always(ok), others: always(other), shows: []string{"begun"}},
	{method: "GET", path: "/studies/{id}/dry-run", lead: always(ok), others: always(other),
		shows: []string{"Nobody has tasted", "Simulated, invented answers"},
		hides: []string{servertest.CanaryHypothesis, servertest.CanaryDish}},
	{method: "GET", path: "/studies/{id}/rehearsal", lead: always(other), others: always(other)},
	{method: "GET", path: "/studies/{id}/rehearsal/1/en/3", lead: always(ok), others: always(other),
		shows: []string{"Rehearsal: nothing is kept", "How salty is it?"},
		hides: []string{servertest.CanaryTitle, servertest.CanaryHypothesis}},
	{method: "GET", path: "/studies/{id}/rehearsal/1/en/3/withdraw", lead: always(ok), others: always(other),
		shows: []string{"Rehearsal: nothing is kept"}},
	{method: "POST", path: "/studies/{id}/rehearsal/1/en/3/withdraw", lead: always(other), others: always(other)},
	{method: "POST", path: "/studies/{id}/rehearsal/1/en/3/turns/none", lead: always(http.StatusUnprocessableEntity),
		others: always(other)},
	{method: "GET", path: "/studies/{id}/rehearsal/1/en/3/turns/none", lead: always(other), others: always(other)},
	{method: "GET", path: "/studies/{id}/sittings/1/card", lead: [4]int{missing, missing, ok, ok},
		others: always(other), hides: []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.NameA,
			servertest.NameB}},
	{method: "GET", path: "/studies/{id}/sittings/1/cards", lead: [4]int{missing, missing, ok, ok},
		others: always(other), hides: []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.NameA,
			servertest.NameB}},
	{method: "GET", path: "/studies/{id}/board", lead: [4]int{conflict, conflict, ok, conflict}, others: always(other),
		shows: []string{"finished"}, hides: []string{servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/studies/{id}/events", lead: [4]int{conflict, conflict, ok, conflict}, others: always(other),
		shows: []string{"event: fresh", "finished"}, hides: []string{servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/studies/{id}/screen", lead: [4]int{conflict, conflict, other, conflict},
		others: always(other)},
	{method: "GET", path: "/screen/{id}/another", lead: always(missing), others: always(missing),
		hides: []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/screen/{id}/another/board", lead: always(missing), others: always(missing),
		hides: []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/screen/{id}/another/events", lead: always(missing), others: always(missing),
		hides: []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/studies/{id}/card", lead: [4]int{conflict, conflict, conflict, ok}, others: always(other),
		shows: []string{"Hang it up"}},
	{method: "GET", path: "/studies/{id}/figures/none.svg", lead: [4]int{conflict, conflict, conflict, missing},
		others: always(other)},
	{method: "GET", path: "/studies/{id}/card.svg", lead: [4]int{conflict, conflict, conflict, ok},
		others: always(other)},
	{method: "GET", path: "/studies/{id}/card.png", lead: [4]int{conflict, conflict, conflict, ok},
		others: always(other)},
	{method: "POST", path: "/studies/{id}/share", lead: [4]int{conflict, conflict, conflict, other},
		others: always(other)},
	{method: "POST", path: "/studies/{id}/share/end", lead: [4]int{conflict, conflict, conflict, other},
		others: always(other)},
	{method: "GET", path: "/report/{id}/another", lead: always(missing), others: always(missing),
		hides: []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/studies/{id}/take-out", lead: [4]int{conflict, conflict, ok, ok}, others: always(other),
		shows: []string{"Delete a guest’s answers"}},
	{method: "GET", path: "/studies/{id}/paper", lead: [4]int{conflict, conflict, ok, conflict}, others: always(other),
		shows: []string{"Answers from paper"}, hides: []string{servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/studies/{id}/paper.csv", lead: [4]int{conflict, conflict, ok, conflict},
		others: always(other), shows: []string{"assessor,code"}, hides: []string{servertest.NameA, servertest.NameB}},
	{method: "POST", path: "/studies/{id}/paper", lead: [4]int{conflict, conflict, unprocessable, conflict},
		others: always(other)},
	{method: "GET", path: "/studies/{id}/free", lead: [4]int{conflict, conflict, ok, conflict}, others: always(other),
		shows: []string{"Free a place"}},
	{method: "POST", path: "/studies/{id}/free", lead: [4]int{conflict, conflict, http.StatusUnprocessableEntity,
		conflict}, others: always(other)},
	{method: "GET", path: "/studies/{id}/tablet", lead: [4]int{conflict, conflict, ok, conflict},
		others: always(other), shows: []string{"Give a guest the house’s tablet"}},
	{method: "POST", path: "/studies/{id}/tablet", lead: [4]int{conflict, conflict, unprocessable, conflict},
		others: always(other)},
	// of a study that describes its samples alone: see TestOnlyTheLeadSeesHowAssessorsDid
	{method: "GET", path: "/studies/{id}/assessors", lead: [4]int{conflict, conflict, conflict, missing},
		others: always(other)},
	{method: "POST", path: "/studies/{id}/look", lead: [4]int{conflict, conflict, conflict, conflict}, // none is due
		others: always(other)},
	{method: "POST", path: "/studies/{id}/last-call", lead: [4]int{conflict, conflict, other, conflict},
		others: always(other)},
	{method: "GET", path: "/studies/{id}/close", lead: [4]int{other, other, ok, other}, others: always(other),
		shows: []string{"Close this study?"}, hides: []string{servertest.NameA, servertest.NameB}},
	{method: "GET", path: "/studies/{id}/key.csv", lead: [4]int{conflict, conflict, conflict, ok},
		others: always(other), shows: []string{"assessor,position,code,dish,name"},
		hides: []string{servertest.CanaryDish, servertest.CanaryNameID}},
	{method: "GET", path: "/studies/{id}/ratings.csv", lead: [4]int{conflict, conflict, conflict, ok},
		others: always(other), shows: []string{"assessor,turn,position,code,dish,name,attribute,value"},
		hides: []string{servertest.CanaryDish, servertest.CanaryNameID}},
	{method: "GET", path: "/studies/{id}/findings.json", lead: [4]int{conflict, conflict, conflict, ok},
		others: always(other), shows: []string{`"findings"`},
		hides: []string{servertest.CanarySampleA, servertest.CanarySampleB}},

	{method: "POST", path: "/t/{t}/stop", lead: [4]int{missing, missing, other, other},
		others: [4]int{missing, missing, other, other}},
	{method: "POST", path: "/t/{t}/withdraw", lead: [4]int{missing, missing, other, other},
		others: [4]int{missing, missing, other, other}},

	// What changes a study comes last and, for the lead, on studies of its own.
	{method: "POST", path: "/studies/{id}/countersign", lead: always(http.StatusForbidden),
		partner: &[4]int{conflict, unprocessable, unprocessable, conflict}, others: always(other)},
	{method: "POST", path: "/studies/{id}/time-stamp/answer", lead: always(conflict), others: always(other)},
	{method: "POST", path: "/studies/{id}/time-stamp", lead: [4]int{conflict, other, other, other},
		others: always(other)},
	{method: "POST", path: "/studies/{id}/copy", lead: always(other), others: always(other)},
	{method: "POST", path: "/studies/{id}/amend", lead: [4]int{conflict, unprocessable, unprocessable, unprocessable},
		others: always(other)},
	{method: "POST", path: "/studies/{id}/archive", lead: always(other), others: always(other)},
	{method: "POST", path: "/studies/{id}/delete", lead: always(unprocessable), others: always(other)},
	{method: "POST", path: "/studies/{id}/lock", lead: always(bad), others: always(other)},
	{method: "POST", path: "/studies/{id}/prepare", lead: [4]int{conflict, other, other, conflict},
		others: always(other)},
	{method: "POST", path: "/studies/{id}/sittings", lead: always(other), others: always(other)},
	{method: "POST", path: "/studies/{id}/take-out", lead: [4]int{conflict, conflict, unprocessable, unprocessable},
		others: always(other)},
	{method: "POST", path: "/studies/{id}/close", lead: always(other), others: always(other)},
	{method: "GET", path: "/log/log.txt", lead: always(ok), others: always(other), shows: []string{"signed in"}},
	{method: "GET", path: "/log", lead: always(ok), others: always(other), shows: []string{"signed in"}},
	{method: "GET", path: "/password", lead: always(ok), others: always(other)},
	{method: "POST", path: "/password", lead: always(unprocessable), others: always(other)},
	{method: "POST", path: "/password/language", lead: always(other), others: always(other)},
	{method: "POST", path: "/password/elsewhere", lead: always(other), others: always(other)},
	{method: "POST", path: "/password/passkeys", lead: always(other), others: always(other)},
	{method: "POST", path: "/password/passkeys/remove", lead: always(missing), others: always(other)},
	{method: "POST", path: "/sign-out", lead: always(other), others: always(other)},
}

// fill puts the study, its links and wrong links into a path.
func fill(path string, id panel.StudyID, join panel.JoinToken, token panel.SeatToken) string {
	if join == "" {
		join, token = "no-such-link", "no-such-link"
	}
	return strings.NewReplacer("{id}", string(id), "{join}", string(join), "{t}", string(token)).Replace(path)
}

func TestEveryRouteEveryRoleEveryState(t *testing.T) {
	for state := panel.Draft; state <= panel.Closed; state++ {
		t.Run(state.String(), func(t *testing.T) {
			f := servertest.New(t)
			id, join := f.InState(servertest.Custard, state)
			token := ""
			if join != "" {
				token = string(f.SeatedToken(id, join))
			}
			lead, stranger, guest := f.Lead(), f.Visitor(), f.Visitor()
			partner, monitor := f.Partner(), f.User("Mona", panel.RoleMonitor)
			named := f.User("Nora", panel.RoleNamed)
			elsewhere, _ := f.InState(servertest.Custard, panel.Open)
			kitchen, floor := f.Staff(elsewhere, panel.RoleKitchen), f.Staff(elsewhere, panel.RoleFloor)
			if state == panel.Open {
				guest.Post("/join/"+string(join)+"/consent", "nonce", "a-guest-who-is-curious")
			}
			for _, a := range accessTable {
				path := strings.ReplaceAll(fill(a.path, id, join, panel.SeatToken(token)), "{dish}",
					servertest.CanaryDish)
				t.Run(a.method+" "+a.path, func(t *testing.T) {
					for name, v := range map[string]*servertest.Visitor{"stranger": stranger, "assessor": guest,
						"kitchen elsewhere": kitchen, "floor elsewhere": floor} {
						v.T = t
						f.Clock.Pass(2 * time.Minute) // wrong passwords wait no longer
						p := v.First(a.method, path)
						checkAccess(t, name, p, a.others[state])
						if to := p.Header.Get("Location"); a.shows != nil && a.others[state] == other &&
							!strings.HasPrefix(to, "/sign-in") {
							t.Errorf("%s is sent to %q, want /sign-in", name, to)
						}
						for _, x := range append(a.shows, servertest.CanaryTitle, servertest.CanaryHypothesis) {
							if strings.Contains(p.All(), x) {
								t.Errorf("%s may read %q", name, x)
							}
						}
					}
					if strings.HasPrefix(a.path, "/sign-") && a.method == "POST" {
						return // asked from the lead in tests of their own
					}
					partner.T = t
					checkPartner(t, a, state, partner.First(a.method, path))
					monitor.T, named.T = t, t
					checkMonitor(t, a, state, monitor.First(a.method, path))
					checkNamed(t, a, state, named.First(a.method, path))
					lead.T = t
					checkLead(t, a, state, lead.First(a.method, path))
				})
			}
		})
	}
}

func checkAccess(t *testing.T, who string, p servertest.Page, want int) {
	t.Helper()
	if p.Status != want {
		t.Errorf("%s gets %d, want %d", who, p.Status, want)
	}
}

// checkPartner: the partner reads what the lead reads, and changes nothing.
func checkPartner(t *testing.T, a access, state panel.State, p servertest.Page) {
	t.Helper()
	want := a.lead[state]
	if a.partner != nil {
		want = a.partner[state]
	}
	if role := a.role(); role == "lead" || role == "owner" {
		want = refused
	}
	checkAccess(t, "partner", p, want)
	for _, x := range a.hides {
		if state != panel.Closed && strings.Contains(p.All(), x) {
			t.Errorf("the partner may read %q while the study is %s", x, state)
		}
	}
}

// role is that of the route.
func (a access) role() string {
	for _, r := range server.Routes() {
		if r.Method == a.method && r.Path == pattern(a.path) {
			return r.Role
		}
	}
	return ""
}

// checkMonitor: the monitor reads what the partner reads, takes no data away and signs nothing.
func checkMonitor(t *testing.T, a access, state panel.State, p servertest.Page) {
	t.Helper()
	if a.role() != "lead, partner" {
		checkPartner(t, a, state, p)
		return
	}
	checkAccess(t, "monitor", p, refused)
	for _, x := range append(a.shows, a.hides...) {
		if strings.Contains(p.All(), x) {
			t.Errorf("the monitor may read %q", x)
		}
	}
}

// checkNamed: for a user who has a role in other studies alone there is no such study.
func checkNamed(t *testing.T, a access, state panel.State, p servertest.Page) {
	t.Helper()
	role := a.role()
	switch {
	case strings.Contains(role, "named"), strings.Contains(role, "anyone"), strings.Contains(role, "assessor"):
	case strings.Contains(a.path, "{id}"):
		checkAccess(t, "a user without a role here", p, missing)
	default:
		checkAccess(t, "a user without a role here", p, refused)
	}
	for _, x := range append(append(a.shows, a.hides...), servertest.CanaryTitle, servertest.CanaryHypothesis) {
		if strings.Contains(p.All(), x) {
			t.Errorf("a user without a role in the study may read %q while it is %s", x, state)
		}
	}
}

func checkLead(t *testing.T, a access, state panel.State, p servertest.Page) {
	t.Helper()
	checkAccess(t, "lead", p, a.lead[state])
	for _, x := range a.shows {
		if a.lead[state] == ok && !strings.Contains(p.Body, x) {
			t.Errorf("the lead does not find %q", x)
		}
	}
	for _, x := range a.hides {
		if state != panel.Closed && strings.Contains(p.All(), x) {
			t.Errorf("the lead may read %q while the study is %s", x, state)
		}
	}
}

// pattern is the route table's form of a path of the tables.
func pattern(path string) string {
	return strings.NewReplacer("{id}/another", ":id/:token", "{id}", ":id", "{join}", ":token", "{t}", ":token",
		"/sittings/1", "/sittings/:number", "/staff/floor", "/staff/:role", "/edit/question", "/edit/:step",
		"/quick/check", "/quick/:step", "/help/chef", "/help/:topic", "/figures/none.svg", "/figures/:file",
		"/people/none", "/people/:user",
		"/turns/none", "/turns/:turn", "/blind/none", "/blind/:ask", "/incidents/spilt", "/incidents/:what",
		"/rehearsal/1/en/3/withdraw", "/rehearsal/:seat/:in/:screen/:aside",
		"/rehearsal/1/en/3", "/rehearsal/:seat/:in/:screen",
		"{dish}", ":dish", "{link}", ":token", "{seat}", ":seat", "{serving}", ":serving", "{turn}",
		":turn").Replace(path)
}

func TestAccessTableHasEveryRoute(t *testing.T) {
	tested := map[string]bool{}
	for _, a := range accessTable {
		tested[a.method+" "+pattern(a.path)] = true
	}
	for _, a := range roomTable {
		tested[a.method+" "+pattern(a.path)] = true
	}
	routes := server.Routes()
	for _, r := range routes {
		if !tested[r.Method+" "+r.Path] {
			t.Errorf("route %s %s stands in no row of the access table", r.Method, r.Path)
		}
		if r.Role == "nobody" {
			t.Errorf("route %s %s has no role", r.Method, r.Path)
		}
		if strings.HasPrefix(r.Path, "/studies") != strings.HasPrefix(r.Role, "lead") && r.Path != "/sign-out" &&
			!strings.HasPrefix(r.Path, "/password") && !strings.HasPrefix(r.Path, "/log") &&
			!strings.HasPrefix(r.Path, "/people") && r.Role != "owner" && !strings.HasPrefix(r.Path, "/help") {
			t.Errorf("route %s %s is for %s", r.Method, r.Path, r.Role)
		}
	}
	if rows := len(accessTable) + len(roomTable); len(routes) != rows {
		t.Errorf("%d routes, %d rows", len(routes), rows)
	}
}

func TestRouteWithoutRoleIsRefused(t *testing.T) {
	c, _ := gin.CreateTestContext(httptest.NewRecorder())
	c.Request = httptest.NewRequest(http.MethodGet, "/", nil)
	if !server.Refuses(c) {
		t.Error("a route without a role was admitted")
	}
}

func TestUnknownAddressesAreFriendlyAndSayNothing(t *testing.T) {
	f := servertest.New(t)
	f.InState(servertest.Custard, panel.Open)
	v := f.Visitor()
	for _, path := range []string{"/nothing", "/join/unknown", "/t/unknown", "/join/" + strings.Repeat("x", 500),
		"/t/%00", "/join/unknown/declined", "/studies/../t/x"} {
		p := v.Get(path)
		if p.Status != http.StatusNotFound {
			t.Errorf("%s: status %d, want 404", path, p.Status)
		}
		if got := p.HTML().Find("h1").Text(); got != "This link doesn’t work" {
			t.Errorf("%s: heading %q", path, got)
		}
	}
}

func TestHeadAnswersAsGetWithoutABody(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	for path, want := range map[string]int{"/": ok, "/healthz": ok, "/join/" + string(join): ok, "/t/none": missing,
		"/studies": other} {
		if p := f.Visitor().First(http.MethodHead, path); p.Status != want || p.Body != "" {
			t.Errorf("HEAD %s: status %d and %d bytes, want %d and none", path, p.Status, len(p.Body), want)
		}
	}
}
