package builder_test

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// Groups of guests are written, worded in a second language, and taken out again.
func TestGroupsOfGuestsAreBuilt(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	v := f.Lead()
	step := func(name, do string, pairs ...string) servertest.Page {
		t.Helper()
		at := "/studies/" + string(id) + "/edit/" + name
		form := formOf(v.Get(at))
		for i := 0; i+1 < len(pairs); i += 2 {
			form.Set(pairs[i], pairs[i+1])
		}
		return send(v, at, form, do)
	}
	if v.Get("/studies/"+string(id)+"/edit/panel").HTML().Find("#groups").Length() != 0 {
		t.Error("groups are asked for where everybody gets all samples")
	}
	step("panel", "save", "serving.design", "one")
	step("analysis", "save", "analysis.test", "welch-t")
	step("panel", "add groups", "add serving.strata", "Have you eaten here before?")
	step("panel", "add groups", "add staff serving.strata", "room")
	p := step("panel", "save", "serving.strata[0].levels", "yes\r\nno", "serving.strata[1].levels", "hall\r\nbar",
		"serving.minimise", "true")
	if got := p.HTML().Find(".problems").Text(); got != "" {
		t.Errorf("problems: %s", got)
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	want := []study.Stratum{{ID: "guest", Ask: "Have you eaten here before?", Levels: []string{"yes", "no"}},
		{ID: "room", Levels: []string{"hall", "bar"}}}
	if diff := cmp.Diff(want, stored.Spec.Serving.Strata); diff != "" || !stored.Spec.Serving.Minimise ||
		len(stored.Problems) > 0 {
		t.Fatalf("built (-want +got):\n%s%v", diff, stored.Problems)
	}
	also := url.Values{"also languages": {"fr"}}
	form := formOf(v.Get("/studies/" + string(id) + "/edit/panel"))
	form["also languages"] = also["also languages"]
	send(v, "/studies/"+string(id)+"/edit/panel", form, "save")
	step("words", "save", "translations.fr.strata.guest.ask", "Avez-vous déjà mangé ici ?",
		"translations.fr.strata.guest.levels", "oui\r\nnon")
	stored, err = f.Svc.Study(t.Context(), id)
	f.Must(err)
	if fr := stored.Spec.In("fr").Serving.Strata; fr[0].Ask != "Avez-vous déjà mangé ici ?" ||
		!slices.Equal(fr[0].Levels, []string{"oui", "non"}) || fr[1].Levels[1] != "bar" {
		t.Errorf("in French %+v", fr)
	}
	step("panel", "remove serving.strata[0]")
	stored, err = f.Svc.Study(t.Context(), id)
	f.Must(err)
	if got := stored.Spec.Serving.Strata; len(got) != 1 || got[0].ID != "room" ||
		strings.Contains(stored.File, "mangé") {
		t.Errorf("after removing one: %+v\n%s", got, stored.File)
	}
}
