package builder_test

import (
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestProposedAmounts: how much the usual recipe has makes five dishes around it, from the
// least to the most, served blind, with all that the first dish has; the study then draws.
func TestProposedAmounts(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	p := lead.Post("/studies", "question", "worth")
	edit := strings.TrimSuffix(p.Path, p.Path[strings.LastIndex(p.Path, "/")+1:])
	id := panel.StudyID(strings.Split(p.Path, "/")[2])
	act := func(do string, pairs ...string) servertest.Page {
		t.Helper()
		return send(lead, edit+"dishes", fillIn(formOf(lead.Get(edit+"dishes")), pairs...), do)
	}
	if p := act("propose amounts", "recipe", "a lot"); !strings.Contains(p.HTML().Text(), "a number above 0") {
		t.Errorf("no number: %s", p.HTML().Find(".problems").Text())
	}
	act("add dishes", "add dishes", "Celeriac custard")
	act("propose amounts", "recipe", "8", "amounts in", "g of salt per litre", "dishes[0].portion", "20 g",
		"dishes[0].serve at", "55", "dishes[0].allergens", "|eggs|milk|celery", "dishes[0].also contains", "nutmeg")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	a := stored.Spec
	if len(a.Dishes) != 5 || len(a.Samples) != 5 {
		t.Fatalf("%d dishes, %d samples\n%s", len(a.Dishes), len(a.Samples), stored.File)
	}
	for i, want := range []float64{5.6, 6.8, 8, 9.2, 10.4} {
		d := a.Dishes[i]
		if d.Amount != want || d.Title != "Celeriac custard, "+a.AmountsIn.Short(want) || d.Portion != "20 g" ||
			d.ServeAt != 55 || len(d.Allergens) != 3 || len(d.AlsoContains) != 1 || a.Samples[i].Dish != d.ID ||
			a.Samples[i].Name != "" {
			t.Errorf("dish %d: %+v, sample %+v", i+1, d, a.Samples[i])
		}
	}
	for _, x := range stored.Problems {
		if strings.HasPrefix(x.Path, "dishes") || strings.HasPrefix(x.Path, "samples") {
			t.Errorf("%s: %s", x.Path, x.What)
		}
	}
	if lead.Get(edit+"dishes").HTML().Find("[name=recipe]").Length() != 0 {
		t.Error("five dishes are proposed over five")
	}
}
