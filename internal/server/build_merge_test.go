package server_test

import (
	"fmt"
	"net/http"
	"net/url"
	"testing"

	"github.com/chromedp/chromedp"
	"pgregory.net/rapid"
)

// TestBuilderMergesFieldByField: two pages of one step are saved one after the other.
// What only one of them changed stays as that one has it; only what both changed, to
// different words, is asked about.
func TestBuilderMergesFieldByField(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	fields := []string{"title", "hypothesis"}
	rapid.Check(t, func(rt *rapid.T) {
		id, edit := f.drafted(custard)
		first, second := formOf(lead.get(edit+"question")), formOf(lead.get(edit+"question"))
		want, conflict := map[string]string{}, false
		for _, name := range fields {
			was := first.Get(name)
			here := rapid.SampledFrom([]string{was, "one", "two"}).Draw(rt, name+" here")
			there := rapid.SampledFrom([]string{was, "one", "two"}).Draw(rt, name+" there")
			first.Set(name, here)
			second.Set(name, there)
			want[name] = here
			if there != was {
				want[name] = there
			}
			conflict = conflict || here != was && there != was && here != there
		}
		lead.send(edit+"question", first, "save")
		p := lead.send(edit+"question", second, "save")
		if (p.status == http.StatusConflict) != conflict {
			rt.Fatalf("status %d, conflict expected: %v", p.status, conflict)
		}
		if conflict {
			p = lead.send(edit+"question", formOf(p), "save") // mine, having looked
			if p.status != http.StatusOK {
				rt.Fatalf("saved again: status %d", p.status)
			}
		}
		kept, err := f.svc.Study(t.Context(), id)
		f.must(err)
		got := map[string]string{"title": kept.Asked.Title, "hypothesis": kept.Asked.Hypothesis}
		for _, name := range fields {
			if got[name] != want[name] {
				rt.Errorf("%s is %q, want %q", name, got[name], want[name])
			}
		}
	})
}

// TestBuilderMergesNoOtherItems: when a dish was removed on another page, the same path
// is another dish, and nothing typed for the first reaches the second.
func TestBuilderMergesNoOtherItems(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	_, edit := f.drafted(custard)
	lead.send(edit+"dishes", fillIn(formOf(lead.get(edit+"dishes")), "add dishes", "A second custard", "dishes[0].portion", ""), "save")
	old := formOf(lead.get(edit + "dishes"))
	lead.send(edit+"dishes", formOf(lead.get(edit+"dishes")), "remove dishes[0]")
	p := lead.send(edit+"dishes", fillIn(old, "dishes[0].portion", "60 g"), "save")
	if p.status != http.StatusConflict {
		t.Errorf("status %d, want a conflict", p.status)
	}
	if got := lead.get(edit+"dishes").html().Find(`[name="dishes[0].portion"]`).AttrOr("value", "none"); got != "" {
		t.Errorf("the other dish has the portion %q", got)
	}
}

// TestBuilderMergesTheFile: the file itself is one field.
func TestBuilderMergesTheFile(t *testing.T) {
	for _, tc := range []struct {
		name, here, there string
		status            int
		kept              string
	}{
		{"changed here", "here", "", http.StatusOK, "here"},
		{"changed there", "", "there", http.StatusOK, "there"},
		{"changed to the same", "same", "same", http.StatusOK, "same"},
		{"changed here and there", "here", "there", http.StatusConflict, "here"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := newFixture(t)
			lead := f.lead()
			id, edit := f.drafted(custard)
			first, second := formOf(lead.get(edit+"text")), formOf(lead.get(edit+"text"))
			say := func(form url.Values, word string) {
				if word != "" {
					form.Set("text", fmt.Sprintf("%s# %s\r\n", form.Get("text"), word))
				}
			}
			say(first, tc.here)
			say(second, tc.there)
			lead.send(edit+"text", first, "save")
			if p := lead.send(edit+"text", second, "save"); p.status != tc.status {
				t.Errorf("status %d, want %d", p.status, tc.status)
			}
			kept, err := f.svc.Study(t.Context(), id)
			f.must(err)
			if want := custard + "# " + tc.kept + "\n"; kept.File != want {
				t.Errorf("kept:\n%s", firstDifference(want, kept.File))
			}
		})
	}
}

// TestBackThenSaveIsNoConflict: save, go back, change the same field again, save.
func TestBackThenSaveIsNoConflict(t *testing.T) {
	f := newFixture(t)
	f.must(f.svc.SetPassword(t.Context(), leadPassword))
	id, edit := f.drafted(custard)
	tab := browser(t, 360, 740, true)
	run(t, tab, chromedp.Navigate(f.web.URL+edit+"question"), chromedp.SendKeys(chromedp.CSS("#password"), leadPassword))
	press(t, tab, "main .next")
	for _, word := range []string{" one", " two"} {
		run(t, tab, chromedp.WaitVisible(chromedp.CSS("#title")))
		eval[string](t, tab, fmt.Sprintf(`document.querySelector("#title").value += %q`, word))
		press(t, tab, `button[value=next]`)
		if got := eval[string](t, tab, "location.pathname"); got != edit+"dishes" {
			t.Fatalf("after%s: at %s: %s", word, got, eval[string](t, tab, "document.querySelector('main').innerText.slice(0, 200)"))
		}
		if _, err := chromedp.RunResponse(tab, chromedp.NavigateBack()); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	if want := "CANARYTITLE does a name change a custard? one two"; kept.Asked.Title != want {
		t.Errorf("the title is %q, want %q", kept.Asked.Title, want)
	}
}
