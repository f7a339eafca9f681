package datapackage

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/report"
)

// TestTheReportIsInThePackage: it is the page of the findings, is listed wherever
// files are listed, and opens without a network.
func TestTheReportIsInThePackage(t *testing.T) {
	d := custard(t)
	d.Report = report.Options{Notes: []string{"Assessors began in these languages: 2 in English, 1 in Deutsch."},
		Flow: &report.Flow{Places: 42, SaidNo: 3, Seated: 41, Finished: 39, Left: 1, Withdrawn: 1}}
	files := filesOf(t, d)
	var want bytes.Buffer
	must(t, report.WriteHTML(&want, report.Build(d.Study.Spec, d.Findings, d.Report)))
	page := files["report.html"]
	if !bytes.Equal(page, want.Bytes()) || !strings.Contains(string(page), d.Report.Notes[0]) {
		t.Fatal("report.html is not the page of the findings with its notes")
	}
	for _, name := range []string{"README.txt", "SHA256SUMS", "datapackage.json"} {
		if !strings.Contains(string(files[name]), "report.html") {
			t.Errorf("%s does not list report.html", name)
		}
	}
	var p struct {
		Resources []struct{ Path, Title, MediaType string }
	}
	must(t, json.Unmarshal(files["datapackage.json"], &p))
	for _, r := range p.Resources {
		if r.Path == "report.html" && (r.MediaType != "text/html" || r.Title == "") {
			t.Errorf("report.html is described as %+v", r)
		}
	}
	doc, err := goquery.NewDocumentFromReader(bytes.NewReader(page))
	must(t, err)
	if n := doc.Find("link, img, iframe, object, embed, script[src]").Length(); n != 0 {
		t.Errorf("%d elements of report.html fetch something", n)
	}
	if found := regexp.MustCompile(`(?i)@import|url\(`).FindString(doc.Find("style").Text()); found != "" {
		t.Errorf("the style of report.html refers to %s", found)
	}
	if found := regexp.MustCompile(`(?i)(src|href)=["']?(https?:|//)`).Find(page); found != nil {
		t.Errorf("report.html refers to %s", found)
	}
	d.Findings, d.Answers = nil, nil
	if files := filesOf(t, d); files["report.html"] != nil ||
		strings.Contains(string(files["README.txt"]), "report.html") {
		t.Error("a study that nobody rated has a report")
	}
}
