package desk_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestTelevisionHasItsOwnLink: whoever has the link sees the counts of that study while
// it is open, and is signed in to nothing.
func TestTelevisionHasItsOwnLink(t *testing.T) {
	f := servertest.New(t)
	f.Must(f.Svc.SetPassword(t.Context(), "Ines", servertest.LeadPassword))
	id, _ := f.InState(servertest.Custard, panel.Open)
	lead := f.Lead()
	at := lead.Get("/studies/" + string(id) + "/screen").Path
	if !strings.HasPrefix(at, "/screen/"+string(id)+"/") {
		t.Fatalf("the lead is led to %s", at)
	}
	if link := lead.Get("/studies/"+string(id)).HTML().Find(`details a.link`).AttrOr("href",
		""); !strings.HasSuffix(link, at) {
		t.Errorf("the lead's page links to %q, want %s", link, at)
	}
	room := f.Visitor()
	for path, want := range map[string]string{at: "The tasting so far", at + "/board": "finished"} {
		p := room.Get(path)
		if p.Status != http.StatusOK || !strings.Contains(p.Body, want) {
			t.Errorf("%s: status %d", path, p.Status)
		}
		for _, hidden := range []string{servertest.CanaryTitle, servertest.CanaryHypothesis, servertest.NameA,
			servertest.NameB} {
			if strings.Contains(p.Body, hidden) {
				t.Errorf("%s shows %q", path, hidden)
			}
		}
	}
	if p := room.Get("/studies/" + string(id) + "/board"); p.Path != "/sign-in" {
		t.Errorf("the lead's board from the room: %s", p.Path)
	}
	if p := room.Get(at[:len(at)-1]); p.Status != http.StatusNotFound {
		t.Errorf("a link that was cut short: status %d", p.Status)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if p := room.Get(at); p.Status != http.StatusConflict || strings.Contains(p.Body, servertest.CanaryTitle) {
		t.Errorf("after close: status %d", p.Status)
	}
}
