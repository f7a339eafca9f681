package server_test

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestEveryExampleIsServedWithoutPhones: of each example study the floor prints the ballots,
// seats a guest without a phone, and enters what is asked on every turn; each sheet of paper
// asks what the page asks, in the same words and order and of the same codes, and what was
// entered is all that was kept.
func TestEveryExampleIsServedWithoutPhones(t *testing.T) {
	files, err := filepath.Glob("../../studies/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			f := servertest.New(t)
			id, _ := f.InState(string(text), panel.Open)
			floor := f.Staff(id, panel.RoleFloor)
			dealt := sheetsOf(floor)
			p := floor.Get("/floor/guest")
			form := p.HTML().Find("form[action='/floor/guest']").First()
			p = floor.Post("/floor/guest", filled(form)...)
			servertest.MustStatus(t, p, http.StatusOK)
			seat := p.Path
			label := ""
			if said := guestNumber.FindStringSubmatch(p.HTML().Find("main").Text()); said != nil {
				label = said[1]
			}
			sheets := sheetsOf(floor)
			if before := dealt[label]; len(before) > 0 && !slices.Equal(before, sheets[label]) {
				t.Errorf("printed before the guest came: %q, after: %q", before, sheets[label])
			}
			if len(sheets[label]) == 0 {
				t.Fatalf("seat %s has no sheet; there are %d seats", label, len(sheets))
			}
			asked, kept := serveWithoutPhone(f, floor, seat)
			if diff := firstDifference(asked, sheets[label]); diff != "" {
				t.Error(diff)
			}
			f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
			_, collected, err := f.Svc.Collected(t.Context(), id)
			f.Must(err)
			turns := map[int]bool{}
			for _, a := range collected.Answers {
				turns[a.Turn] = true
				if a.EnteredBy != "floor 1" {
					t.Errorf("kept as entered by %q: %+v", a.EnteredBy, a)
				}
			}
			if kept == 0 || len(turns) != kept {
				t.Errorf("answers to %d turns are kept, %d were entered", len(turns), kept)
			}
			servertest.MustStatus(t, f.Lead().Get("/studies/"+string(id)), http.StatusOK)
		})
	}
}

// guestNumber is how floor's page of a seat names its guest, as their sheet does.
var guestNumber = regexp.MustCompile(`Guest (\d+)`)

// firstDifference says where what the floor was asked leaves what the sheets ask.
func firstDifference(asked, sheets []string) string {
	for i := range max(len(asked), len(sheets)) {
		switch {
		case i >= len(asked):
			return fmt.Sprintf("the floor never comes to sheet %d: %s", i+1, sheets[i])
		case i >= len(sheets):
			return fmt.Sprintf("no sheet for what the floor enters: %s", asked[i])
		case asked[i] != sheets[i]:
			return fmt.Sprintf("turn %d: the floor is asked\n%s\non paper stands\n%s", i+1, asked[i], sheets[i])
		}
	}
	return ""
}

// sheetsOf are the sheets of paper of each seat, of every turn.
func sheetsOf(floor *servertest.Visitor) map[string][]string {
	sheets := map[string][]string{}
	floor.Get("/floor/ballots").HTML().Find("section.paper").Each(func(_ int, sheet *goquery.Selection) {
		words := strings.Fields(sheet.Find(".seat-no").Text())
		if sheet.Find(".box").Length() > 0 && sheet.Find(".asked").Length() == 0 {
			return // what is read before tasting
		}
		label := words[len(words)-1]
		sheets[label] = append(sheets[label], askedOnPaper(sheet))
	})
	return sheets
}

// askedOnPaper is what a sheet asks: each question with what there is to answer.
func askedOnPaper(sheet *goquery.Selection) string {
	var all []string
	sheet.Find(".asked").Each(func(_ int, q *goquery.Selection) {
		all = append(all, said(q.Find("h3"))+": "+texts(q.Find(".rule-ends span, .boxes li")))
	})
	if comment := said(sheet.Find(".remark").Prev()); comment != "" {
		all = append(all, comment)
	}
	return strings.Join(all, "\n")
}

// askedOfFloor is the same, of the page on which floor enters it.
func askedOfFloor(form *goquery.Selection) string {
	var all []string
	form.Find("fieldset.ask").Each(func(_ int, q *goquery.Selection) {
		answers := q.Find(".ends span, label.choice")
		q.Find("select").Remove()
		all = append(all, said(q.Find("legend"))+": "+texts(answers))
	})
	if comment := said(form.Find(".comment label")); comment != "" {
		all = append(all, comment)
	}
	return strings.Join(all, "\n")
}

func said(s *goquery.Selection) string { return strings.Join(strings.Fields(s.Text()), " ") }

func texts(list *goquery.Selection) string {
	return strings.Join(list.Map(func(_ int, s *goquery.Selection) string { return said(s) }), " / ")
}

// serveWithoutPhone serves a guest to the end of the sitting and enters every answer. It
// returns what was asked on each turn, and how many turns have answers.
func serveWithoutPhone(f *servertest.Fixture, floor *servertest.Visitor, seat string) (asked []string, kept int) {
	f.T.Helper()
	idle := 0
	for range 120 {
		doc := floor.Get(seat).HTML()
		if served := doc.Find(".acts form[action$='/served']").First(); served.Length() > 0 {
			servertest.MustStatus(f.T, floor.Post(served.AttrOr("action", ""), filled(served)...), http.StatusOK)
			continue
		}
		scores := doc.Find(".acts a[href*='/scores/']").First().AttrOr("href", "")
		if last := doc.Find("main a[href$='/last']").AttrOr("href", ""); last != "" { // no answer to a turn
			form := floor.Get(last).HTML().Find("main form").First()
			asked = append(asked, askedOfFloor(form))
			servertest.MustStatus(f.T, floor.Post(form.AttrOr("action", ""), filled(form)...), http.StatusOK)
			continue
		}
		if scores == "" {
			if idle++; idle > 2 {
				return asked, kept
			}
			f.Clock.Pass(5 * time.Minute) // a rinse, or the end
			continue
		}
		page := floor.Get(scores).HTML()
		if page.Find("form[method=get] input[name=code]").Length() > 0 { // the code on the plate opens them
			code := strings.Fields(doc.Find("header.plate .code").First().Text())
			page = floor.Get(scores + "?code=" + code[len(code)-1]).HTML()
		}
		form := page.Find("main form").First()
		given := filled(form)
		if form.Find("fieldset.ask").Length() > 0 {
			kept++
		}
		if !strings.Contains(page.Find("h1").Text(), "before tasting") { // a name that is read has no sheet
			asked = append(asked, askedOfFloor(form))
		}
		servertest.MustStatus(f.T, floor.Post(form.AttrOr("action", ""), given...), http.StatusOK)
		idle = 0
	}
	f.T.Fatal("a ballot without an end")
	return nil, 0
}
