package room_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

func TestKitchenPlatesByCode(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	token := f.Began(join, "a-guest-who-is-hungry")
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	v := f.Staff(id, panel.RoleKitchen)
	p := v.Get("/kitchen")
	doc := p.HTML()
	if doc.Find(".wave").Length() != 2 || doc.Find("#wave-1 .codes li").Length() != 12 {
		t.Fatalf("%d waves, %d plates in the first; want 2 and 12", doc.Find(".wave").Length(),
			doc.Find("#wave-1 .codes li").Length())
	}
	wanted := doc.Find("#wave-1 .codes .now")
	if wanted.Length() != 1 || wanted.Find(".digits").Text() != string(b.Turn.Code) {
		t.Errorf("to plate: %q, want the code %s alone", wanted.Text(), string(b.Turn.Code))
	}
	for _, want := range []string{servertest.CanaryDishTitle, "60 g", "55\u00a0°C", "nutmeg", "63 °C", "5 °C"} {
		if !strings.Contains(doc.Find("main").Text(), want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
	for _, hidden := range []string{servertest.NameA, servertest.NameB, servertest.CanaryNameID,
		servertest.CanarySampleA, servertest.CanaryTitle, servertest.CanaryHypothesis} {
		if strings.Contains(p.All(), hidden) {
			t.Errorf("the kitchen may read %q", hidden)
		}
	}
	plating := v.Get("/kitchen/plating").HTML()
	if plating.Find(".tick li").Length() != 24 {
		t.Errorf("%d codes on the plating sheet, want 24", plating.Find(".tick li").Length())
	}
}

func TestKitchenLogsTemperatures(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	v := f.Staff(id, panel.RoleKitchen)
	for _, bad := range []string{"", "hot", "900"} {
		p := v.Post("/kitchen/temperatures", "wave", "1", "dish", servertest.CanaryDish, "celsius", bad)
		servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
		if got := p.HTML().Find("#celsius").AttrOr("value", "?"); got != bad {
			t.Errorf("%q comes back as %q", bad, got)
		}
	}
	p := v.Post("/kitchen/temperatures", "wave", "2", "dish", servertest.CanaryDish, "celsius", " 54,5 °C")
	log := p.HTML().Find("#wave-2 .log").Text()
	if !strings.Contains(log, "54.5\u00a0°C") || !strings.Contains(log, "kitchen 1") ||
		!strings.Contains(log, "Caution: ") {
		t.Errorf("the log says %q", log)
	}
}

func TestBreakTheBlind(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	token := f.Began(join, "a-guest-who-is-unwell")
	b, err := f.Svc.Ballot(t.Context(), token)
	f.Must(err)
	for who, v := range map[string]*servertest.Visitor{"/kitchen": f.Staff(id, panel.RoleKitchen),
		"/studies/" + string(id) + "/sittings/1": f.Lead()} {
		t.Run(who, func(t *testing.T) {
			v.T = t
			p := v.Post(who+"/blind", "code", string(b.Turn.Code))
			servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
			if p.HTML().Find("#code").AttrOr("value", "") != string(b.Turn.Code) ||
				strings.Contains(p.Body, servertest.CanaryDishTitle) {
				t.Error("without a reason the code is lost, or the dish is shown")
			}
			servertest.MustStatus(t, v.Post(who+"/blind", "code", "000", "why", "A guest feels unwell"),
				http.StatusUnprocessableEntity)
			p = v.Post(who+"/blind", "code", string(b.Turn.Code), "why", "A guest feels unwell", "more", "itching")
			servertest.MustStatus(t, p, http.StatusOK)
			for _, want := range []string{servertest.CanaryDishTitle, "nutmeg", "guest 1",
				"A guest feels unwell: itching"} {
				if !strings.Contains(p.HTML().Find("main").Text(), want) {
					t.Errorf("the plate is opened without %q", want)
				}
			}
			if shown := strings.Contains(p.Body, b.Turn.Name); shown != (who != "/kitchen") {
				t.Errorf("name shown: %t", shown)
			}
		})
	}
	if log := f.Lead().Get("/studies/" + string(id) + "/log").HTML().Find("main").Text(); strings.Count(log,
		"blind broken") != 2 {
		t.Errorf("the log says %q, want the blind broken twice", log)
	}
}

func TestLabels(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	v := f.Staff(id, panel.RoleKitchen)
	p := v.Get("/kitchen/labels")
	doc := p.HTML()
	words := doc.Find(".labels span").Map(func(_ int, x *goquery.Selection) string { return x.Text() })
	if doc.Find(".labels").Length() != 2 || len(words) != 34 || slices.Index(words, "spare") != 24 ||
		words[23] == "spare" || words[33] != "spare" {
		t.Fatalf("%d sheets, labels %q; want 24 plates and 10 spare codes on two", doc.Find(".labels").Length(), words)
	}
	if strings.Contains(p.Body, servertest.CanaryDish) || strings.Contains(p.Body, servertest.CanaryDishTitle) {
		t.Error("a label's page names the dish")
	}
	style := v.Get(doc.Find("link[href^='/kitchen/labels.css']").AttrOr("href", ""))
	for _, want := range []string{"@page { size: 210mm 297mm; margin: 0 }", "repeat(3, 70mm)", "repeat(8, 37mm)"} {
		if !strings.Contains(style.Body, want) {
			t.Errorf("the style sheet %q lacks %q", style.Body, want)
		}
	}
	form := []string{"paper", "letter", "columns", "2", "rows", "5", "width", "101,6", "height", "50.8", "left", "4",
		"top", "12.7",
		"across", "4", "down", "0", "right", "-1", "lower", "0.5", "skip", "3", "wave", "1"}
	p = v.Post("/kitchen/labels", form...)
	servertest.MustStatus(t, p, http.StatusOK)
	doc = p.HTML()
	if doc.Find(".labels").Length() != 2 || doc.Find(".labels strong").Length() != 12 ||
		doc.Find(".labels li").First().Text() != "" {
		t.Errorf("%d sheets, %d labels; want 12 on two, the first left out", doc.Find(".labels").Length(),
			doc.Find(".labels strong").Length())
	}
	form[3] = "3"
	p = v.Post("/kitchen/labels", form...)
	servertest.MustStatus(t, p, http.StatusUnprocessableEntity)
	if got := p.HTML().Find(".problems").Text(); !strings.Contains(got, "316.8 mm wide") {
		t.Errorf("three columns of 101.6 mm on Letter: %q", got)
	}
}
