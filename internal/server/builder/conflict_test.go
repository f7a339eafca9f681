package builder_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/design"
	"cloche/internal/server/servertest"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// TestConflictsNameWhatStandsOnTheScreen: the step and the label that a conflict of a plan sends
// people to stand there, over the field of the file that mends it.
func TestConflictsNameWhatStandsOnTheScreen(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	const series = "question: a-not-a\ndishes: [{id: a, title: A}]\n"
	where := regexp.MustCompile(`^It clashes. On the step “(.+)”, under “(.+)”, write 3, ` +
		`or choose otherwise under “(.+)”.$`)
	steps := map[string]string{"Panel and service": "panel"}
	for _, tc := range []struct{ file, field, or string }{
		{servertest.Custard, design.FieldSittings, design.FieldCodes},
		{servertest.Custard, design.FieldSeats, design.FieldCodes},
		{servertest.Custard, design.FieldSpares, design.FieldCodes},
		{servertest.Custard, design.FieldMostAtSitting, design.FieldCodes},
		{servertest.Custard, design.FieldPerAssessor, design.FieldDesign},
		{series, design.FieldReplicates, design.FieldCodes},
	} {
		said := summary.Tell(site.TongueIn("en"), &design.Conflict{What: study.Say("it clashes"), Field: tc.field,
			Value: study.Say("3"), Or: tc.or})
		got := where.FindStringSubmatch(said)
		if got == nil {
			t.Errorf("%s: %q", tc.field, said)
			continue
		}
		page := lead.Get(draftedAt(f, tc.file) + steps[got[1]]).HTML()
		if heading := strings.TrimSpace(page.Find("h1").Text()); heading != got[1] {
			t.Errorf("%s: the step %q is headed %q", tc.field, got[1], heading)
		}
		for field, label := range map[string]string{tc.field: got[2], tc.or: got[3]} {
			if as := labelled(page, field); !strings.HasPrefix(as, label) {
				t.Errorf("%s is called %q and stands on the screen as %q", field, label, as)
			}
		}
	}
}

// labelled is what stands over a field of the file.
func labelled(page *goquery.Document, field string) string {
	control := page.Find(`[name="` + field + `"]`).First()
	if set := control.Closest("fieldset"); control.Is("[type=radio]") {
		return flat(set.Find("legend").First().Text())
	}
	return flat(page.Find(`label[for="` + control.AttrOr("id", "none") + `"]`).Text())
}
