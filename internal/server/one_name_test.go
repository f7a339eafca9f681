package server_test

import (
	"net/http"
	"path"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestOneNameOneDocument downloads all that the pages of a study offer beside its
// package: where the package has a file of that name, it has the same bytes.
func TestOneNameOneDocument(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	want := map[panel.State][]string{
		panel.Locked: {"plan.txt", "study.json"},
		panel.Closed: {"plan.txt", "study.json", "key.csv", "ratings.csv", "findings.json"},
	}
	for state, names := range want {
		id, join := f.InState(servertest.Custard, state)
		pack := lead.Get("/studies/" + string(id) + "/data.zip").Files()
		same := map[string]bool{}
		for _, a := range accessTable {
			if a.method != "GET" || !strings.HasPrefix(a.path, "/studies/{id}/") || path.Ext(a.path) == "" {
				continue
			}
			p := lead.Get(fill(a.path, id, join, "none"))
			name := path.Base(a.path)
			if body, found := pack[name]; found && p.Status == http.StatusOK {
				if same[name] = body == p.Body; !same[name] {
					t.Errorf("%s: %s of the page and of the package are two documents:\n%.300s\n\n%.300s", state, name,
						p.Body, body)
				}
			}
		}
		for _, name := range names {
			if _, found := same[name]; !found {
				t.Errorf("%s: %s is not both on a page and in the package", state, name)
			}
		}
	}
}
