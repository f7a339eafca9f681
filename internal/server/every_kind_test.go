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

// TestEveryExampleIsRunClosedAndExported: of each example study two guests without
// scripts answer whatever their phones ask, the lead closes, and the report, the findings
// and the data package are there.
func TestEveryExampleIsRunClosedAndExported(t *testing.T) {
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
			id, join := f.InState(string(text), panel.Open)
			answered := 0
			for i := range 2 {
				answered += answerAll(f, join, fmt.Sprintf("nonce-of-a-guest-%d", i))
			}
			if answered < 2 {
				t.Fatalf("%d turns were answered", answered)
			}
			f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
			lead := f.Lead()
			study := "/studies/" + string(id)
			for _, path := range []string{study, study + "/findings.json", study + "/data.zip"} {
				p := lead.Get(path)
				if p.Status >= 500 {
					t.Logf("the service's log: %s", f.Log)
				}
				servertest.MustStatus(t, p, http.StatusOK)
				if strings.HasSuffix(path, ".zip") && !strings.Contains(p.Unpacked(), "== analysis.R") {
					t.Errorf("the package has no findings:\n%.400s", p.Unpacked())
				}
			}
			if f.Log.String() != "" && strings.Contains(f.Log.String(), "level=ERROR") {
				t.Errorf("the service's log: %s", f.Log)
			}
		})
	}
}

// answerAll takes one guest through all turns of a sitting; it returns how many.
func answerAll(f *servertest.Fixture, join panel.JoinToken, nonce string) (turns int) {
	f.T.Helper()
	return answerAllOn(f, f.Visitor(), join, nonce)
}

// aPhone is a visitor, watched or not.
type aPhone interface {
	Get(path string) servertest.Page
	Post(path string, pairs ...string) servertest.Page
}

func answerAllOn(f *servertest.Fixture, v aPhone, join panel.JoinToken, nonce string) (turns int) {
	f.T.Helper()
	p := v.Post("/join/"+string(join)+"/consent", consentTo(v, join, nonce)...)
	for range 80 {
		form := p.HTML().Find("main form").First()
		action := form.AttrOr("action", "")
		if action == "" || strings.HasSuffix(action, "/stop") || strings.HasSuffix(action, "/withdraw") {
			f.Clock.Pass(time.Minute) // a pause, or the end
			next := v.Get(p.Path)
			if next.HTML().Find("main form .next").Length() == 0 {
				return turns
			}
			p = next
			continue
		}
		if opens, gated := strings.CutSuffix(action, "/plate"); gated {
			b, err := f.Svc.Ballot(f.T.Context(), panel.SeatToken(strings.TrimPrefix(opens, "/t/")))
			f.Must(err)
			p = v.Post(action, "turn", string(b.Gate.ID), "code", string(b.Gate.Typed))
			continue
		}
		if form.Find("input[type=radio], input[type=text], input[type=number], input[type=checkbox], "+
			"select").Length() > 0 {
			turns++
		}
		p = v.Post(action, filled(form)...)
		if p.Status >= 400 {
			f.T.Fatalf("%s: status %d: %s", action, p.Status, p.HTML().Find("main").Text())
		}
	}
	f.T.Fatal("a ballot without an end")
	return turns
}

// consentTo agrees, and says what is asked of groups and age.
func consentTo(v aPhone, join panel.JoinToken, nonce string) []string {
	form := v.Get("/join/" + string(join)).HTML().Find("form[action$='/consent']").First()
	return append(filled(form), "nonce", nonce)
}

var anAnswer = regexp.MustCompile(`^a\d+$`)

// filled are the fields of a form with an answer in each: the first of several, 20 where
// a number is asked, and of places another for each.
func filled(form *goquery.Selection) (pairs []string) {
	var chosen []string
	places := 0
	form.Find("input, select").Each(func(i int, field *goquery.Selection) {
		name, value := field.AttrOr("name", ""), field.AttrOr("value", "")
		if name == "" || slices.Contains(chosen, name) {
			return
		}
		switch field.AttrOr("type", goquery.NodeName(field)) {
		case "hidden":
		case "radio", "checkbox":
			chosen = append(chosen, name)
			if strings.HasSuffix(form.AttrOr("action", ""), "/screening") {
				value = "2" // no: 1 is yes
			}
		case "select":
			places++
			value = field.Find("option").Eq(places).AttrOr("value", "") // the first is none
		default:
			value = ""
			if anAnswer.MatchString(name) {
				value = "20"
			}
		}
		pairs = append(pairs, name, value)
	})
	return pairs
}
