package builder_test

import (
	"fmt"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/server/servertest"
)

// The builder offers to ask whether two samples are practically the same, sizes the panel
// for that, says the plan in words, and tries it out under both truths.
func TestBuilderAsksWhetherTwoAreTheSame(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	usual := lead.Get(draftedAt(f, servertest.Custard) + "analysis").HTML()
	if got := usual.Find("select[name='analysis.test'] " +
		"option[value=equivalence]").Text(); !strings.Contains(got, "practically the same?") {
		t.Errorf("the test is offered as %q", got)
	}
	file := strings.Replace(servertest.Custard, "test: paired-t", "test: equivalence", 1)
	id, edit := f.Drafted(file)
	if got := flat(lead.Get(edit + "analysis").HTML().Find("main").Text()); !strings.Contains(got, "The question "+
		"is whether the two are practically the same") ||
		!strings.Contains(got, "interval at 90 %") {
		t.Errorf("the plan is told as %s", got)
	}
	z, err := analysis.FindSize(analysis.Sizing{Test: analysis.Equivalence, Difference: 5,
		Spread: analysis.GivenSpread(10)})
	f.Must(err)
	size := lead.Get(edit + "size?spread=10").HTML()
	if got := flat(size.Find("#answer").Text()); !strings.Contains(got,
		fmt.Sprintf("%d assessors are needed.", z.Needed.Assessors)) {
		t.Errorf("want %d assessors, the page says %s", z.Needed.Assessors, got)
	}
	if size.Find("[name='analysis.sides']").Length() != 0 {
		t.Error("the size step asks for the sides of a test that has none")
	}
	if got := flat(size.Find("main").Text()); !strings.Contains(got, "can rule out with 80 % power") ||
		strings.Contains(got, "find with 80 %") {
		t.Errorf("the size of sameness is told as that of a difference: %s", got)
	}
	without := strings.Replace(file, ", smallest effect: 5", "", 1)
	if got := lead.Get(draftedAt(f, without) + "size").Body; !strings.Contains(got, "Equivalence has no meaning "+
		"without a smallest effect") {
		t.Error("the size step does not say that the smallest effect is missing")
	}
	dry := flat(lead.Get("/studies/" + string(id) + "/dry-run?spread=10").HTML().Find("main table.stack").Text())
	for _, want := range []string{"find the two practically the same", "the computed power",
		"the level of the test, α"} {
		if !strings.Contains(dry, want) {
			t.Errorf("the dry run lacks %q: %s", want, dry)
		}
	}
}

func draftedAt(f *servertest.Fixture, file string) string {
	_, edit := f.Drafted(file)
	return edit
}
