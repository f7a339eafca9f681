package server_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// TestOneEstimateOfMinutes: consent on the phone, the size step, the plan on the page
// and as text say the same number.
func TestOneEstimateOfMinutes(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	draft := f.Uploaded(servertest.Custard)
	asked, problems := study.Parse("custard.yaml", []byte(servertest.Custard))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	cost, err := analysis.CostOf(asked, asked.Panel.Assessors)
	f.Must(err)
	want := fmt.Sprint(cost.Minutes)
	if got := f.Visitor().Get("/join/" + string(join)).HTML().Find("#minutes").Text(); got != "It takes about "+want+
		" minutes of your time." {
		t.Errorf("consent says %q, want %s minutes", got, want)
	}
	row := f.Lead().Get("/studies/" + string(draft) + "/edit/size").HTML().Find("tr:contains('Minutes for each " +
		"person')")
	if got := row.Find("td").First().Text(); got != want {
		t.Errorf("the size step says %q, want %s", got, want)
	}
	plan := f.Lead().Get("/studies/" + string(id) + "/plan").HTML().Find("dt:contains('Time of each')").Next().Text()
	if strings.TrimSpace(plan) != "about "+want+" minutes" {
		t.Errorf("the plan says %q, want %s minutes", plan, want)
	}
	if got := f.Lead().Get("/studies/" + string(id) + "/plan.txt").Body; !strings.Contains(got, "about "+want+
		" minutes") {
		t.Errorf("the plan as text does not say %s minutes:\n%s", want, got)
	}
}

// TestNoStudyTextSaysMinutes: a number written in a text is not that of the plan.
func TestNoStudyTextSaysMinutes(t *testing.T) {
	for _, folder := range []string{"../../studies", "../../studies/start"} {
		files, err := os.ReadDir(folder)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range files {
			if !strings.HasSuffix(x.Name(), ".yaml") {
				continue
			}
			text, err := os.ReadFile(folder + "/" + x.Name())
			if err != nil {
				t.Fatal(err)
			}
			for _, word := range []string{"minutes", "Minuten"} {
				if strings.Contains(string(text), word) {
					t.Errorf("%s/%s speaks of %s: the pages say how long it takes", folder, x.Name(), word)
				}
			}
		}
	}
}
