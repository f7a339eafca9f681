package builder_test

import (
	"fmt"
	"net/http"
	"net/url"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/server/servertest"
)

// TestBuilderMergesFieldByField: two pages of one step are saved one after the other.
// What only one of them changed stays as that one has it; only what both changed, to
// different words, is asked about.
func TestBuilderMergesFieldByField(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	fields := []string{"title", "hypothesis"}
	rapid.Check(t, func(rt *rapid.T) {
		id, edit := f.Drafted(servertest.Custard)
		first, second := formOf(lead.Get(edit+"question")), formOf(lead.Get(edit+"question"))
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
		send(lead, edit+"question", first, "save")
		p := send(lead, edit+"question", second, "save")
		if (p.Status == http.StatusConflict) != conflict {
			rt.Fatalf("status %d, conflict expected: %v", p.Status, conflict)
		}
		if conflict {
			p = send(lead, edit+"question", formOf(p), "save") // mine, having looked
			if p.Status != http.StatusOK {
				rt.Fatalf("saved again: status %d", p.Status)
			}
		}
		stored, err := f.Svc.Study(t.Context(), id)
		f.Must(err)
		got := map[string]string{"title": stored.Spec.Title, "hypothesis": stored.Spec.Hypothesis}
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
	f := servertest.New(t)
	lead := f.Lead()
	_, edit := f.Drafted(servertest.Custard)
	send(lead, edit+"dishes", fillIn(formOf(lead.Get(edit+"dishes")), "add dishes", "A second custard",
		"dishes[0].portion", ""), "save")
	old := formOf(lead.Get(edit + "dishes"))
	send(lead, edit+"dishes", formOf(lead.Get(edit+"dishes")), "remove dishes[0]")
	p := send(lead, edit+"dishes", fillIn(old, "dishes[0].portion", "60 g"), "save")
	if p.Status != http.StatusConflict {
		t.Errorf("status %d, want a conflict", p.Status)
	}
	if got := lead.Get(edit+"dishes").HTML().Find(`[name="dishes[0].portion"]`).AttrOr("value", "none"); got != "" {
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
			f := servertest.New(t)
			lead := f.Lead()
			id, edit := f.Drafted(servertest.Custard)
			first, second := formOf(lead.Get(edit+"text")), formOf(lead.Get(edit+"text"))
			say := func(form url.Values, word string) {
				if word != "" {
					form.Set("text", fmt.Sprintf("%s# %s\r\n", form.Get("text"), word))
				}
			}
			say(first, tc.here)
			say(second, tc.there)
			send(lead, edit+"text", first, "save")
			if p := send(lead, edit+"text", second, "save"); p.Status != tc.status {
				t.Errorf("status %d, want %d", p.Status, tc.status)
			}
			stored, err := f.Svc.Study(t.Context(), id)
			f.Must(err)
			if want := servertest.Custard + "# " + tc.kept + "\n"; stored.File != want {
				t.Errorf("kept:\n%s", firstDifference(want, stored.File))
			}
		})
	}
}
