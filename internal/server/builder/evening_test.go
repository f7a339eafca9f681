package builder_test

import (
	"fmt"
	"strings"
	"testing"

	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// shown is what the field of a path shows, as the browser would send it back.
func shown(p servertest.Page, path string) string { return formOf(p).Get(path) }

// TestEveningKeysGoRound: what a file says of the evening stands in the builder, what is changed
// there is written into the file, and what is changed back to the usual reads as the usual.
func TestEveningKeysGoRound(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	said := map[string][2]string{ // in the file; then in the builder
		"serving.plate gate": {"false", "true"}, "serving.minutes at the pass": {"7", "2"},
		"serving.minutes of grace": {"0", "12"}, "serving.at one table": {"same order", "different orders"},
		"serving.one question a screen": {"true", "false"}, "panel.tell result": {"true", "false"},
	}
	var serving, panel strings.Builder
	for path, v := range said {
		section, key, _ := strings.Cut(path, ".")
		if section == "panel" {
			fmt.Fprintf(&panel, ", %s: %s", key, v[0])
		} else {
			fmt.Fprintf(&serving, "%s: %s, ", key, v[0])
		}
	}
	file := strings.NewReplacer("assessors: 12", "assessors: 12"+panel.String(), "seed: 7", serving.String()+"seed: 7",
		", plate gate: false}", "}").Replace(servertest.Custard)
	id, edit := f.Drafted(file)
	page := lead.Get(edit + "panel")
	form := formOf(page)
	for path, v := range said {
		if got := form[path]; len(got) == 0 || got[len(got)-1] != v[0] {
			t.Errorf("%s shows %q, the file says %q", path, got, v[0])
		}
		form.Set(path, v[1])
	}
	send(lead, edit+"panel", form, "save")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	v := stored.Spec.Serving
	if !v.PlateGate || v.PassMinutes != 2 || v.GraceMinutes != 12 || v.AtOneTable != study.MixedOrders ||
		v.OneQuestion || stored.Spec.Panel.TellResult || len(stored.Problems) > 0 {
		t.Errorf("the builder wrote %+v and %+v, problems %v", v, stored.Spec.Panel, stored.Problems)
	}
}

// TestEveningShowsWhatHolds: a file that says nothing of the evening shows what holds then.
func TestEveningShowsWhatHolds(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	for name, src := range studyFiles(t) {
		s, _ := study.Read(name, []byte(src))
		if s == nil || s.Serving.DealtOnArrival() {
			continue
		}
		_, edit := f.Drafted(src)
		p := lead.Get(edit + "panel")
		for path, want := range map[string]any{"serving.plate gate": s.Serving.PlateGate,
			"serving.minutes at the pass": s.Serving.PassMinutes, "serving.minutes of grace": s.Serving.GraceMinutes,
			"serving.at one table": s.Serving.AtOneTable} {
			if got := shown(p, path); got != fmt.Sprint(want) {
				t.Errorf("%s: %s shows %q, and %v holds", name, path, got, want)
			}
		}
	}
}
