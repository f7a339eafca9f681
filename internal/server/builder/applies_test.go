package builder_test

import (
	"os"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestOnlyWhatAppliesIsShown: a study whose samples are all served blind is asked nothing
// of names, and one that no dry run can play links none; all else keeps its place.
func TestOnlyWhatAppliesIsShown(t *testing.T) {
	f := servertest.New(t)
	v := f.Lead()
	read := func(name string) string {
		text, err := os.ReadFile("../../../studies/" + name + ".yaml")
		f.Must(err)
		return string(text)
	}
	for _, tc := range []struct {
		name, file     string
		expects, tried bool
	}{
		{"names", servertest.Custard, true, true},
		{"blind samples", read("four-custards"), false, true},
		{"blind samples, and the file asks all the same",
			strings.Replace(read("four-custards"), "\nserving:", "\nserving:\n  expectation: false", 1), true, true},
		{"all samples together", wholePanel(read("four-custards")), false, true},
		{"one sample to each", read("one-name-each"), true, true},
		{"an order", read("salt-in-order"), false, true},
		{"a preference", read("browned-butter"), false, false},
		{"the saltier of two", read("saltier-of-two"), false, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			id := f.Uploaded(tc.file)
			at := "/studies/" + string(id)
			for _, page := range []string{at, at + "/edit/see"} {
				doc := v.Get(page).HTML()
				steps := doc.Find("main a[href='" + at + "/edit/expectation']").Length()
				if (steps > 0) != tc.expects {
					t.Errorf("%s: the step of expectation is shown %d times", page, steps)
				}
				if n := doc.Find("main a[href='" + at + "/dry-run']").Length(); (n > 0) != tc.tried {
					t.Errorf("%s links the dry run %d times", page, n)
				}
				if doc.Find("main a[href='"+at+"/rehearsal']").Length() == 0 {
					t.Errorf("%s links no rehearsal", page)
				}
			}
			want := "Save and continue to: Panel and service"
			if tc.expects {
				want = "Save and continue to: Expectation"
			}
			doc := v.Get(at + "/edit/attributes").HTML()
			if got := doc.Find("main form").Text(); !strings.Contains(got, want) {
				t.Errorf("what is asked does not lead on by %q:\n%s", want, doc.Find("main form .next").Text())
			}
		})
	}
	id, _ := f.InState(servertest.Custard, panel.Locked)
	if v.Get("/studies/"+string(id)).HTML().Find("main a[href$='/dry-run']").Length() != 1 {
		t.Error("a locked study of ratings links no dry run")
	}
}

// wholePanel is a study of ratings that compares all its samples together.
func wholePanel(file string) string {
	before, _, _ := strings.Cut(file, "\nanalysis:")
	return before + "\nanalysis: {compare: all, attribute: liking}\n"
}
