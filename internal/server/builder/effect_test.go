package builder_test

import (
	"os"
	"strings"
	"testing"

	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// Where the samples form a table, the step on what decides offers the effect of the name,
// of the dish and whether one depends on the other, before a pair; choosing one writes
// what goes with it, and the plan is told in words.
func TestBuilderOffersEffectsOfCrossedSamples(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	file, err := os.ReadFile("../../../studies/recipe-or-name.yaml")
	f.Must(err)
	pair := strings.Replace(string(file), "  effect of: name\n  compare: [butter, "+
		"garden]\n", "  compare: [P1, P2]\n", 1)
	id, edit := f.Drafted(pair)
	var offered []string
	for _, x := range lead.Get(edit + "analysis").HTML().Find("[name='analysis.effect of']").EachIter() {
		value, _ := x.Attr("value")
		offered = append(offered, value)
	}
	if got := strings.Join(offered, "|"); got != "name|dish|name by dish|" {
		t.Errorf("offered are %q", got)
	}
	for _, tc := range []struct {
		name, value, told string
		effect            study.Factor
		levels            [2]string
		test              study.Test
	}{
		{"analysis.effect of", "name", "“brown butter custard” minus “garden custard”, over both " +
			"dishes", study.NameFactor,
			[2]string{"butter", "garden"}, study.PairedT},
		{"analysis.compare[1]", "blind", "“brown butter custard” minus no name", study.NameFactor,
			[2]string{"butter", "blind"}, study.PairedT},
		{"analysis.compare[0]", "all", "all names together, over both dishes", study.NameFactor, [2]string{},
			study.RMAnova},
		{"analysis.compare[0]", "garden", "“garden custard” minus", study.NameFactor, [2]string{"garden", "blind"},
			study.PairedT},
		{"analysis.test", "signed-rank", "signed-rank", study.NameFactor, [2]string{"garden", "blind"},
			study.SignedRank},
		{"analysis.effect of", "dish", "minus Celeriac custard with brown butter, over all names", study.DishFactor,
			[2]string{"plain", "brown"}, study.PairedT},
		{"analysis.effect of", "name by dish", "does what the name does depend on the dish", study.NameByDish,
			[2]string{},
			study.RMAnova},
	} {
		p := builds(f, lead, id, "analysis", "save", tc.name, tc.value).Plan
		if p.EffectOf != tc.effect || p.Levels != tc.levels || p.Test != tc.test {
			t.Errorf("%s %s: the effect of the %s %v by %s", tc.name, tc.value, p.EffectOf, p.Levels, p.Test)
		}
		if got := flat(lead.Get(edit + "analysis").HTML().Find("main").Text()); !strings.Contains(got, tc.told) {
			t.Errorf("%s %s: not told as %q: %s", tc.name, tc.value, tc.told, got)
		}
	}
	p := builds(f, lead, id, "analysis", "save", "analysis.effect of", "").Plan
	if p.EffectOf != "" || p.Compare != [2]study.SampleID{"P0", "P1"} || p.Test != study.PairedT {
		t.Errorf("back to a pair: %+v", p)
	}
}
