package server_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// ofAssessors are words of the page on how each assessor did, and its address.
var ofAssessors = []string{"to practise", "How each assessor did", "Repeats within: the standard", "/assessors"}

// TestOnlyTheLeadSeesHowAssessorsDid: the lead's report leads to the page; everybody else is
// turned away from it, and no page or file of theirs holds a word of it.
func TestOnlyTheLeadSeesHowAssessorsDid(t *testing.T) {
	f := servertest.New(t)
	id := f.Described()
	study := "/studies/" + string(id)
	elsewhere, join := f.InState(servertest.Custard, panel.Open)
	lead := f.Lead()
	p := lead.Get(study + "/assessors")
	servertest.MustStatus(t, p, http.StatusOK)
	for _, word := range ofAssessors[:3] {
		if !strings.Contains(p.Body, word) {
			t.Errorf("the lead's page has no %q", word)
		}
	}
	if n := p.HTML().Find("details tbody tr").Length(); n != 6 {
		t.Errorf("%d lines of three assessors on two questions", n)
	}
	if report := lead.Get(study); report.HTML().Find("a[href$='/assessors']").Length() != 1 {
		t.Error("the lead's report does not lead to the page")
	}
	token := f.SeatedToken(elsewhere, join)
	television := lead.Get("/studies/" + string(elsewhere) + "/screen").Path
	for who, v := range map[string]*servertest.Visitor{
		"partner": f.Partner(), "kitchen": f.Staff(elsewhere, panel.RoleKitchen),
		"floor": f.Staff(elsewhere, panel.RoleFloor), "guest": f.Visitor(), "television": f.Visitor(),
	} {
		pages := map[string][]string{
			"partner": {study, study + "/findings.json", study + "/data.zip", study + "/ratings.csv", study + "/log"},
			"kitchen": {"/kitchen"}, "floor": {"/floor"}, "guest": {"/t/" + string(token)}, "television": {television},
		}[who]
		for _, path := range append(pages, study+"/assessors") {
			got := v.Get(path)
			all := got.All()
			if strings.HasSuffix(path, ".zip") {
				all = got.Unpacked()
			}
			if got.Status == http.StatusOK && strings.HasSuffix(got.Path, "/assessors") {
				t.Errorf("%s sees %s", who, path)
			}
			if strings.HasSuffix(path, "/assessors") { // the address may stand in an answer that refuses it
				all = strings.ReplaceAll(all, path, "")
			}
			for _, word := range ofAssessors {
				if strings.Contains(all, word) {
					t.Errorf("%s reads %q at %s", who, word, path)
				}
			}
		}
	}
}
