package desk

import (
	"fmt"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// TestSearchKeepsWhatOthersLookThrough: a search by somebody with a role in one study leaves what is kept of the
// others, finds nothing of them, and reads a study anew once its file has changed.
func TestSearchKeepsWhatOthersLookThrough(t *testing.T) {
	var index searchIndex
	w, all := site.TongueIn("en"), []panel.Study{}
	for i := range 10 {
		all = append(all, panel.Study{ID: panel.StudyID(fmt.Sprint(i)),
			Spec: &study.Study{Title: fmt.Sprint("custard ", i)}})
	}
	if found, _ := index.find(w, all, "custard"); len(found) != len(all) {
		t.Errorf("%d studies are found, want %d", len(found), len(all))
	}
	for _, query := range []string{"custard", "custrad", "4"} {
		for _, x := range first(index.find(w, all[:1], query)) {
			if x.ID != "0" {
				t.Errorf("%q finds study %s of others", query, x.ID)
			}
		}
	}
	if len(index.kept) != len(all) {
		t.Errorf("of %d studies %d are kept", len(all), len(index.kept))
	}
	all[4].Spec = &study.Study{Title: "terrine"}
	if found, _ := index.find(w, all, "terrine"); len(found) != 1 {
		t.Errorf("the new title finds %d studies", len(found))
	}
	if found := first(index.find(w, all, "custard")); len(found) != 9 {
		t.Errorf("the old title finds %d studies, want 9", len(found))
	}
}

func first(found []panel.Study, _ bool) []panel.Study { return found }
