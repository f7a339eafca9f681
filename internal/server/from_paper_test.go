package server_test

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestLeadImportsAnswersFromPaper downloads the sheet, has it refused with its lines, looks at
// what would be taken, takes it, and reads on the page that it is in.
func TestLeadImportsAnswersFromPaper(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	f.Begun(join)
	lead, page := f.Lead(), "/studies/"+string(id)+"/paper"
	sheet := strings.Split(strings.TrimSpace(lead.Get(page+".csv").Body), "\n")
	if len(sheet) != 3 || !strings.HasPrefix(sheet[0], "assessor,code,") {
		t.Fatalf("the sheet is %q", sheet)
	}
	send := func(fields map[string]string, file string) servertest.Page {
		var b bytes.Buffer
		form := multipart.NewWriter(&b)
		for name, value := range fields {
			f.Must(form.WriteField(name, value))
		}
		if file != "" {
			part, err := form.CreateFormFile("file", "ballots.csv")
			f.Must(err)
			_, err = part.Write([]byte(file))
			f.Must(err)
		}
		f.Must(form.Close())
		return lead.Do(http.MethodPost, page, form.FormDataContentType(), &b)
	}
	columns := strings.Count(sheet[0], ",") - 1
	filled := []string{sheet[0]}
	for i, row := range sheet[1:] { // the codes are typed from the ballots
		filled = append(filled, strings.TrimRight(row, ",")+","+f.Code(id, i)+strings.Repeat(",5", columns))
	}
	wrong := strings.Replace(strings.Join(filled, "\n"), filled[2], strings.Replace(filled[2], ",5", ",500", 1), 1)
	p := send(nil, wrong)
	if said := p.HTML().Find(".problems").Text(); p.Status != http.StatusUnprocessableEntity ||
		!strings.Contains(said, "Nothing was imported") || !strings.Contains(said, "Line 3") ||
		!strings.Contains(said, "500") {
		t.Errorf("refused with %d: %s", p.Status, said)
	}
	if p := send(map[string]string{"looked": "yes"}, wrong); p.Status != http.StatusUnprocessableEntity {
		t.Errorf("looked at or not, a half-good table gets %d", p.Status)
	}
	p = send(nil, strings.Join(filled, "\n"))
	doc := p.HTML()
	if !strings.Contains(doc.Find("main").Text(), "servings: 2, guests: 1, from ballots.csv. Nothing is in yet.") {
		t.Fatalf("what would be taken: %s", doc.Find("main").Text())
	}
	for _, hidden := range []string{servertest.CanarySampleA, servertest.CanaryDish, servertest.NameA} {
		if strings.Contains(doc.Find("main").Text(), hidden) {
			t.Errorf("the page gives %q away", hidden)
		}
	}
	again := map[string]string{"looked": "yes", "name": doc.Find("[name=name]").AttrOr("value", ""),
		"table": doc.Find("[name=table]").AttrOr("value", "")}
	if p := send(again, ""); !strings.Contains(p.HTML().Find(".done").Text(), "The answers are in. Servings: 2.") {
		t.Errorf("status %d: %s", p.Status, p.HTML().Find("main").Text())
	}
	if p := send(again, ""); p.Status != http.StatusUnprocessableEntity ||
		!strings.Contains(p.Body, "has its answers already") {
		t.Errorf("sent twice: status %d", p.Status)
	}
	if got := len(strings.Split(strings.TrimSpace(lead.Get(page+".csv").Body), "\n")); got != 1 {
		t.Errorf("%d plates are still to be answered", got-1)
	}
}
