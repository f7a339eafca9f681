package builder_test

import (
	"strings"
	"testing"

	"cloche/internal/server/servertest"
)

// TestBuilderSaysWhenItWritesMoreThanWasChanged: a list over several lines gets
// one, and the page says that lines were written anew; a title alone says nothing.
func TestBuilderSaysWhenItWritesMoreThanWasChanged(t *testing.T) {
	const file = "cloche: 1\ntitle: Salt # ours\ndishes:\n  - id: a\n    allergens: [milk,\n      eggs] # both\n"
	const sentence = "had to be written anew"
	f := servertest.New(t)
	lead := f.Lead()
	for _, tc := range []struct {
		step, field string
		values      []string
		says        bool
	}{
		{"question", "title", []string{"Sweet"}, false},
		{"dishes", "dishes[0].allergens", []string{"milk"}, true},
	} {
		id, edit := f.Drafted(file)
		form := formOf(lead.Get(edit + tc.step))
		form[tc.field] = tc.values
		page := send(lead, edit+tc.step, form, "save")
		if says := strings.Contains(page.Body, sentence); says != tc.says {
			t.Errorf("%s: says %v that lines were written anew, want %v", tc.step, says, tc.says)
		}
		stored, err := f.Svc.Study(t.Context(), id)
		f.Must(err)
		if !strings.Contains(stored.File, "# ours") || !strings.Contains(stored.File, "# both") {
			t.Errorf("%s: comments are lost:\n%s", tc.step, stored.File)
		}
	}
}
