package server_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestNeighboursTasteInDifferentOrders: guests who join with the card of a table are known by
// table and seat, on their phone and to floor; the next place avoids an order that the table
// has while one is free, and moving a guest takes one choice.
func TestNeighboursTasteInDifferentOrders(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	names := map[int][]string{}
	var last panel.SeatToken
	for i := range 11 { // one comes without a card, five to each of two tables
		table := 0
		if i > 0 {
			table = 1 + i%2
		}
		guest := f.Visitor()
		path := "/join/" + string(join)
		if table > 0 {
			path += "?table=" + strconv.Itoa(table)
		}
		p := guest.Get(path)
		fields := []string{"nonce", fmt.Sprintf("a-guest-with-a-card-%d", i)}
		if said := p.HTML().Find("[name=table]").AttrOr("value", ""); said != "" {
			fields = append(fields, "table", said)
		}
		p = guest.Post("/join/"+string(join)+"/consent", fields...)
		last = panel.SeatToken(strings.TrimPrefix(p.Path, "/t/"))
		if table > 0 && !strings.Contains(p.HTML().Find("main").Text(),
			fmt.Sprintf("Table %d, seat %d", table, len(names[table])+1)) {
			t.Errorf("guest %d at table %d reads: %s", i, table, p.HTML().Find("main").Text())
		}
		f.Must(f.Svc.Start(t.Context(), last))
		b, err := f.Svc.Ballot(t.Context(), last)
		f.Must(err)
		if mine := fmt.Sprintf("You are guest %d", b.Label); !strings.Contains(p.HTML().Find("main").Text(), mine) {
			t.Errorf("guest %d at table %d is not told their number: no %q", i, table, mine)
		}
		names[table] = append(names[table], b.Turn.Name)
	}
	for table := 1; table <= 2; table++ {
		for i := 0; i+1 < len(names[table]); i += 2 {
			if names[table][i] == names[table][i+1] {
				t.Errorf("neighbours %d and %d at table %d both begin with %s", i+1, i+2, table, names[table][i])
			}
		}
	}
	v := f.Staff(id, panel.RoleFloor)
	p := v.Get("/floor?show=all")
	if got := p.HTML().Find("h2.table").Text(); got != "No table notedTable 1Table 2" {
		t.Errorf("the list is grouped by %q", got)
	}
	seat := p.HTML().Find(".seat a").First().AttrOr("href", "")
	p = v.Post(servertest.ActionEnding(v.Get(seat), "/table"), "table", "2")
	if got := p.HTML().Find(".plate h1 strong").Text(); got != "Table 2, seat 6" {
		t.Errorf("after moving the guest sits at %q", got)
	}
	for _, bad := range []string{"0", "-1", "1000", "two"} {
		if got := v.Post(seat+"/table", "table", bad).Status; got < 400 {
			t.Errorf("table %q is taken: %d", bad, got)
		}
	}
	log := ""
	for _, e := range f.Events(id) {
		log += e.What + " " + e.Detail + "\n"
	}
	if strings.Contains(log, "table 1") || !strings.Contains(log, "table noted") {
		t.Errorf("the log is to say that a table was noted, and not which: %s", log)
	}
}

// TestTableCardsSayNothingOfTheStudy: a card for each table, with its own link, in each
// language of the study.
func TestTableCardsSayNothingOfTheStudy(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard+servertest.InLanguages, panel.Open)
	lead := f.Lead()
	path := "/studies/" + string(id) + "/sittings/1/cards"
	p := lead.Get(path + "?from=3&to=9")
	cards := p.HTML().Find(".table-card")
	if cards.Length() != 7 || p.HTML().Find(".table-card svg.qr").Length() != 7 {
		t.Fatalf("%d cards, want 7", cards.Length())
	}
	first := cards.First().Text()
	for _, want := range []string{"/join/" + string(join) + "?table=3", "Table 3", "Tisch 3", "Scannez le code"} {
		if !strings.Contains(first, want) {
			t.Errorf("the first card says %q, want %q in it", first, want)
		}
	}
	named := lead.Get(path + "?from=3&to=9&house=The+Quiet+Ladle").HTML().Find(".table-card .house")
	if named.Length() != 7 || named.First().Text() != "The Quiet Ladle" || cards.Find(".house").Length() > 0 {
		t.Errorf("%d cards name the house, the first %q", named.Length(), named.First().Text())
	}
	one := lead.Get("/studies/" + string(id) + "/sittings/1/card").HTML().Find(".card")
	for lang, want := range map[string]string{"en": "Word of the evening", "fr": "Mot de la soirée",
		"de": "Wort des Abends"} {
		for _, card := range []*goquery.Selection{cards.First(), one} {
			if got := card.Find("[lang|=" + lang + "]").Text(); !strings.Contains(got, want) {
				t.Errorf("in %s a card says %q, want %q in it", lang, got, want)
			}
		}
	}
	hidden := append([]string{servertest.NameA, servertest.NameB, "céleri"}, servertest.Canaries...)
	for _, x := range hidden {
		if strings.Contains(p.HTML().Find("main").Text(), x) {
			t.Errorf("the cards say %q", x)
		}
	}
	for _, bad := range []string{"?from=9&to=3", "?from=0&to=3", "?from=1&to=999", "?from=x&to=3"} {
		p := lead.Get(path + bad)
		if p.HTML().Find("#tables-wrong").Length() != 1 || p.HTML().Find(".table-card").Length() != 0 {
			t.Errorf("%s: nothing is said", bad)
		}
	}
}
