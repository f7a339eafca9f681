package desk_test

import (
	"os"
	"strings"
	"testing"

	"cloche/internal/server/servertest"
)

// TestDryRunSpeaksOfItsKind: of groups and of orders the page says what is assumed of them,
// that it is invented, and shows the whole report.
func TestDryRunSpeaksOfItsKind(t *testing.T) {
	f := servertest.New(t)
	v := f.Lead()
	for file, want := range map[string][]string{
		"one-name-each": {"every answer here is invented", "simulated studies that find a difference",
			"the smallest difference worth acting on, 8 points", "What different people say of the same sample " +
				"scatters " +
				"with a standard deviation of 25 points", "Try a spread of"},
		"salt-in-order": {"every answer here is invented", "simulated studies that find an order",
			"70 % of people put Custard with 12 g of salt a litre served blind (sample D) before Custard with 6 g of " +
				"salt " +
				"a litre served blind (sample A)", "without an expected order: more with it", "Thurstone 1927"},
		"four-crusts": {"everybody puts the samples in an order at random", "Simulated, invented answers",
			"The samples between the first and the last lie midway"},
	} {
		text, err := os.ReadFile("../../../studies/" + file + ".yaml")
		f.Must(err)
		doc := v.Get("/studies/" + string(f.Uploaded(string(text))) + "/dry-run").HTML()
		page := strings.Join(strings.Fields(doc.Find("main").Text()), " ")
		for _, words := range want {
			if !strings.Contains(strings.ToLower(page), strings.ToLower(words)) {
				t.Errorf("%s: the page lacks %q: %s", file, words, page)
			}
		}
		if spreads := doc.Find("main details .see a").Length(); (spreads > 0) != (file == "one-name-each") {
			t.Errorf("%s: %d other spreads are offered", file, spreads)
		}
		// The salt is found in four of five studies, though the formula knows nothing of the order expected.
		if small := strings.Contains(page, "is what one aims for"); small != (file != "salt-in-order") {
			t.Errorf("%s: says that the panel finds too little: %t", file, small)
		}
		if n := doc.Find(".report .report-simulated").Length(); n < 2 || doc.Find(".report-first").Length() != 1 {
			t.Errorf("%s: %d parts of the report are marked as simulated", file, n)
		}
	}
}
