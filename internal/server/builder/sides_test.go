package builder_test

import (
	"strings"
	"testing"

	"cloche/internal/server/servertest"
	"cloche/studies"
)

// All samples compared together have no first one that could be rated higher: neither the
// analysis nor the size offers that only one direction counts. A file that says so can
// be put right where it is said.
func TestWholePanelsHaveNoSides(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	pair := string(studies.FourCustards)
	all := strings.NewReplacer("compare: [R, P]", "compare: all", "test: paired-t", "test: mixed-f").Replace(pair)
	onesided := strings.Replace(all, "sides: two", "sides: greater", 1)
	for _, tc := range []struct {
		name, file string
		offered    bool
	}{{"two samples", pair, true}, {"all samples", all, false}, {"all samples, one-sided", onesided, true}} {
		edit := draftedAt(f, tc.file)
		for _, step := range []string{"analysis", "size"} {
			doc := lead.Get(edit + step).HTML()
			if offered := doc.Find("[name='analysis.sides']").Length() > 0; offered != tc.offered {
				t.Errorf("%s, step %s: sides are offered: %t", tc.name, step, offered)
			}
		}
	}
}
