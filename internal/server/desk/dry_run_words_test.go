package desk_test

import (
	"os"
	"strings"
	"testing"

	"cloche/internal/server/servertest"
)

// TestDryRunOfWordsAndProfiles: the page says what is assumed of words and of all samples
// together, counts what their plan looks for, and shows the whole report.
func TestDryRunOfWordsAndProfiles(t *testing.T) {
	f := servertest.New(t)
	v := f.Lead()
	for file, want := range map[string][]string{
		"custard-in-words": {"every answer here is invented", "simulated studies that find that the samples differ " +
			"in what is ticked", "“smooth” is ticked by 40 % more of the people for Celeriac custard with cream",
			"no other word tells samples apart", "What is rated beside knows no effect"},
		"custard-profile": {"every answer here is invented", "simulated studies that find that the samples are not " +
			"all alike", "differ by the smallest difference worth acting on, 8 points, and all others lie midway",
			"The other attributes know no effect"},
	} {
		text, err := os.ReadFile("../../../studies/" + file + ".yaml")
		f.Must(err)
		doc := v.Get("/studies/" + string(f.Uploaded(string(text))) + "/dry-run").HTML()
		page := strings.Join(strings.Fields(doc.Find("main").Text()), " ")
		for _, words := range want {
			if !strings.Contains(strings.ToLower(page), strings.ToLower(words)) {
				t.Errorf("%s: the page lacks %q: %.3000s", file, words, page)
			}
		}
		if n := doc.Find(".report .report-simulated").Length(); n < 2 || doc.Find(".report-first").Length() != 1 {
			t.Errorf("%s: %d parts of the report are marked as simulated", file, n)
		}
	}
}
