package server_test

import (
	"mime"
	"regexp"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestDownloadsAreNamedAfterTheirStudy reads the name of each download of a closed
// study, and that everything holds the report.
func TestDownloadsAreNamedAfterTheirStudy(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, _ := f.InState(servertest.Custard, panel.Closed)
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	day := stored.ClosedAt.Local().Format("2006-01-02")
	for _, name := range []string{"data.zip", "plan.txt", "study.json", "key.csv", "ratings.csv", "findings.json"} {
		said := lead.Get("/studies/" + string(id) + "/" + name).Header.Get("Content-Disposition")
		kind, words, err := mime.ParseMediaType(said)
		if err != nil || kind != "attachment" || words["filename"] != "canarytitle-does-a-name-change-a-custard-"+day+
			"-"+name {
			t.Errorf("%s is given as %s", name, said)
		}
	}
	pack := lead.Get("/studies/" + string(id) + "/data.zip").Files()
	if page := pack["report.html"]; !strings.Contains(page, "<!doctype html>") ||
		!regexp.MustCompile(`<h1[^>]*>`).MatchString(page) {
		t.Errorf("everything lacks the report: %.200s", page)
	}
}
