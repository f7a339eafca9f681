package server_test

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// TestTheWholeRoad goes the whole way over HTTP, without JavaScript: the lead
// sets the password, uploads a study, locks and opens it; ten phones taste at
// once, with double taps, the back button and a break in the middle; the lead
// closes and reads what was found.
func TestTheWholeRoad(t *testing.T) {
	f := servertest.New(t)
	lead := f.Visitor()
	p := lead.Get("/setup")
	if p.HTML().Find("input[type=password]").Length() != 2 {
		t.Fatal("the set-up page does not ask for a password twice")
	}
	p = lead.Post("/setup", "code", servertest.SetupCode, "name", servertest.LeadName, "password",
		servertest.LeadPassword, "again", servertest.LeadPassword)
	if p.Path != "/studies" || !strings.Contains(p.Body, "There is no study yet") {
		t.Fatalf("after the set-up: %s", p.Path)
	}
	p = lead.Upload("custard.yaml", servertest.Custard)
	study := p.Path
	if !strings.HasPrefix(study, "/studies/") || p.HTML().Find(".state.draft").Length() != 1 {
		t.Fatalf("after the upload: %s", p.Path)
	}
	p = lead.Post(study+"/lock", "revision", "1")
	if got := p.HTML().Find("dd.hash").First().Text(); len(got) != 64 {
		t.Errorf("the locked page shows %q, want a SHA-256", got)
	}
	lead.Post(study+"/lock", "revision", "1") // a double tap
	p = lead.Post(study+"/sittings", "number", "1")
	p2 := lead.Post(study+"/sittings", "number", "1") // a double tap
	join := strings.TrimPrefix(p.HTML().Find(`a.link[href*="/join/"]`).AttrOr("href", ""), f.Web.URL)
	if again := strings.TrimPrefix(p2.HTML().Find(`a.link[href*="/join/"]`).AttrOr("href", ""),
		f.Web.URL); again != join || !strings.HasPrefix(join, "/join/") {
		t.Fatalf("join links %q and %q, want one", join, again)
	}

	var phones sync.WaitGroup
	for i := range 10 {
		v := f.Visitor()
		phones.Go(func() { taste(v, join, i) })
	}
	phones.Wait()
	p = lead.Get(study)
	checkCounts(t, p, map[string]string{"joined, of 12 places": "10", "finished": "9", "servings rated, of 20": "19"})
	checkClose(t, f, lead, study, join)
}

// taste is one phone. The tenth stops after its first serving.
func taste(v *servertest.Visitor, join string, i int) {
	p := v.Get(join)
	nonce := p.HTML().Find("input[name=nonce]").AttrOr("value", "")
	var taps sync.WaitGroup
	for range 2 { // a double tap on "I agree"
		taps.Go(func() { v.Post(join+"/consent", "nonce", nonce) })
	}
	taps.Wait()
	p = v.Post(join+"/consent", "nonce", nonce)
	ballot := p.Path
	if p = v.Get(join); p.HTML().Find(`a[href="`+ballot+`"]`).Length() != 1 {
		v.T.Errorf("phone %d: opening the join link again does not lead back to the ballot", i)
	}
	p = v.Post(ballot + "/start")
	first := ""
	for n := range 2 {
		doc := p.HTML()
		if got, want := doc.Find(".plate h1").Text(), fmt.Sprintf("Serving %d of 2", n+1); !strings.HasPrefix(got,
			want) {
			v.T.Errorf("phone %d: %q, want %q", i, got, want)
		}
		action := doc.Find("form").AttrOr("action", "")
		salt := 40 + i
		if doc.Find(".name").Text() == servertest.NameA {
			salt += 10
		}
		if i == 9 && n == 1 {
			return
		}
		if p = v.Post(action, "a1", "", "a2", "7"); p.Status != http.StatusUnprocessableEntity {
			v.T.Errorf("phone %d: an empty line was taken with status %d", i, p.Status)
		}
		answers := []string{"a1", strconv.Itoa(salt), "a2", strconv.Itoa(3 + (i+n)%5)}
		for range 2 { // a double tap on "Send"
			taps.Go(func() { v.Post(action, answers...) })
		}
		taps.Wait()
		if first == "" {
			first = action
		}
		v.Post(first, "a1", "1", "a2", "1") // the back button, and other answers
		p = v.Get(ballot)                   // a page that was opened again
	}
	if got := p.HTML().Find("h1").Text(); got != "Thank you" {
		v.T.Errorf("phone %d ends at %q", i, got)
	}
}

func checkCounts(t *testing.T, p servertest.Page, want map[string]string) {
	t.Helper()
	got := map[string]string{}
	doc := p.HTML()
	doc.Find(".counts dt").Each(func(i int, _ *goquery.Selection) {
		got[doc.Find(".counts dt").Eq(i).Text()] = doc.Find(".counts dd").Eq(i).Text()
	})
	for what, n := range want {
		if got[what] != n {
			t.Errorf("the board counts %q of %q, want %s (all: %v)", got[what], what, n, got)
		}
	}
}

// checkClose closes the study and reads everything that comes of it.
func checkClose(t *testing.T, f *servertest.Fixture, lead *servertest.Visitor, study, join string) {
	t.Helper()
	p := lead.Post(study + "/close") // without the confirmation
	if p.Path != study+"/close" || !strings.Contains(p.HTML().Find(".caution").Text(), "One phone has not finished") {
		t.Errorf("closing without confirmation ends at %s: %s", p.Path, p.HTML().Find(".caution").Text())
	}
	p = lead.Post(study+"/close", "confirm", "yes")
	verdict := p.HTML().Find(".report-first").Text()
	if p.Path != study || !strings.Contains(verdict, servertest.NameA) {
		t.Fatalf("after close: %s with the verdict %q", p.Path, verdict)
	}
	lead.Post(study+"/close", "confirm", "yes") // a double tap

	rows := readCSV(t, lead.Get(study+"/ratings.csv"))
	if len(rows) != 1+19*2 {
		t.Errorf("%d rows of ratings, want a heading and 19 servings of 2 attributes", len(rows))
	}
	for _, r := range rows[1:] {
		salt, _ := strconv.Atoi(r[6])
		if r[5] == "salt" && (salt < 40 || salt > 60) {
			t.Errorf("rating %v was not given: the back button changed it", r)
		}
	}
	if key := readCSV(t, lead.Get(study+"/key.csv")); len(key) != 1+12*2 {
		t.Errorf("%d rows of the key, want a heading and 24 servings", len(key))
	}
	checkFindings(t, lead.Get(study+"/findings.json"))
	late := f.Visitor().Get(join)
	if got := late.HTML().Find("h1").Text(); got != "This tasting is not open" {
		t.Errorf("a guest who comes after close reads %q", got)
	}
	log := lead.Get(study + "/log").HTML().Find("tbody").Text()
	for _, what := range []string{"begun", "locked", "opened", "assessor 1", "consented", "closed"} {
		if !strings.Contains(log, what) {
			t.Errorf("the log lacks %q", what)
		}
	}
}

func readCSV(t *testing.T, p servertest.Page) [][]string {
	t.Helper()
	if p.Status != http.StatusOK || !strings.HasPrefix(p.Header.Get("Content-Disposition"), "attachment") {
		t.Fatalf("%s: status %d, %q", p.Path, p.Status, p.Header.Get("Content-Disposition"))
	}
	rows, err := csv.NewReader(strings.NewReader(p.Body)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", p.Path, err)
	}
	return rows
}

// checkFindings: every complete assessor gave the first name 10 points more.
func checkFindings(t *testing.T, p servertest.Page) {
	t.Helper()
	var got struct {
		Findings []struct {
			Attribute  string
			Role       string
			N          int
			Difference float64
			Moved      struct{ Up, Down, Same int }
		}
	}
	if err := json.Unmarshal([]byte(p.Body), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Findings) != 2 {
		t.Fatalf("%d findings, want 2", len(got.Findings))
	}
	x := got.Findings[0]
	if x.Attribute != "salt" || x.Role != "primary" || x.N != 9 || x.Difference != 10 || x.Moved.Up != 9 {
		t.Errorf("primary finding %+v, want 9 pairs that all moved up by 10", x)
	}
}

func TestStudyWithSeveralSittings(t *testing.T) {
	f := servertest.New(t)
	file := strings.Replace(servertest.Custard, "panel: {assessors: 12}",
		"panel: {assessors: 12, sittings: 3, seats: 4}", 1)
	if _, problems := study.Parse("x.yaml", []byte(file)); len(problems) > 0 {
		t.Fatal(problems)
	}
	id, _ := f.InState(file, panel.Open)
	lead := f.Lead()
	lead.Post("/studies/"+string(id)+"/sittings", "number", "2")
	p := lead.Post("/studies/"+string(id)+"/sittings", "number", "2") // a double tap
	if got := p.HTML().Find(".join").Length(); got != 2 {
		t.Errorf("%d sittings shown, want 2", got)
	}
	if got := p.HTML().Find("input[name=number]").AttrOr("value", ""); got != "3" {
		t.Errorf("sitting %q is offered next, want 3", got)
	}
	if p := lead.Get("/studies/" + string(id) + "/sittings/2/card"); p.HTML().Find("svg.qr").Length() != 1 {
		t.Error("the second sitting has no card")
	}
	if p := lead.Get("/studies/" + string(id) + "/sittings/3/card"); p.Status != http.StatusNotFound {
		t.Errorf("a card of a sitting that was not opened: status %d", p.Status)
	}
}
