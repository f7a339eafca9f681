package builder_test

import (
	"net/http"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// The plan's page says the rules that are held, and the step that makes them keeps
// the file in order.
func TestRulesAreBuiltAndShown(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	v := f.Lead()
	step := func(name string, pairs ...string) {
		t.Helper()
		p := v.Get("/studies/" + string(id) + "/edit/" + name)
		pairs = append(pairs, "revision", p.HTML().Find("[name=revision]").AttrOr("value", ""))
		servertest.MustStatus(t, v.Post("/studies/"+string(id)+"/edit/"+name, pairs...), http.StatusOK)
	}
	step("panel", "panel.screening", "senses", "do", "save")
	step("panel", "add panel.screening", "Are you hungry?", "do", "save")
	step("panel", "panel.screening[1].leaves out", "no", "do", "save")
	step("analysis", "analysis.stop after", "10", "analysis.stop by", "2026-12-05", "do", "save")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	stock, _ := study.StockScreenOf("senses")
	want := []study.Screen{stock.In("en"), {ID: "hungry", Ask: "Are you hungry?", LeavesOut: study.No}}
	if got := stored.Spec.Panel.Screening; len(stored.Problems) > 0 || len(got) != 2 || got[0] != want[0] ||
		got[1] != want[1] || stored.Spec.Plan.StopAfter != 10 {
		t.Fatalf("built %+v, %v", got, stored.Problems)
	}
	f.Must(f.Svc.Lock(t.Context(), servertest.ByLead, id, stored.Revision))
	text := planText(v.Get("/studies/" + string(id) + "/plan").HTML())
	for _, say := range []string{"Whoever says no to “Are you hungry?” is not counted", stock.In("en").Ask,
		"When 10 assessors have finished, or after 2026-12-05"} {
		if !strings.Contains(text, say) {
			t.Errorf("the plan lacks %q", say)
		}
	}
}

func planText(doc *goquery.Document) string {
	return strings.Join(strings.Fields(doc.Find("main").Text()), " ")
}
