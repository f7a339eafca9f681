package report_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// What is said of people and sittings below the table of a panel is what the ratings have.
func TestRandomLinesHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, sittings := rapid.IntRange(6, 24).Draw(t, "people"), rapid.IntRange(1, 4).Draw(t, "sittings")
		skip := rapid.IntRange(0, 3).Draw(t, "skipped")
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		s := panelOf(3)
		s.Attributes[0].Scale = study.Scale{Kind: study.Line}
		var all []analysis.Rating
		for i := range n {
			level := 20 * random.Float64()
			for at, x := range random.Perm(3) {
				if i < skip && at == 2 {
					continue
				}
				all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: at + 1,
					Sitting: 1 + i%sittings,
					Sample:  s.Samples[x].ID, Attribute: "salt",
					Value: 20 + level + float64(10*(i%sittings)) + float64(random.IntN(20))})
			}
		}
		r, err := analysis.Analyse(s, all, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := report.WriteText(&out, s, r); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		var f analysis.Finding
		for _, x := range r.Findings {
			if x.Kind == analysis.KindPanel {
				f = x
			}
		}
		for claim, is := range map[string]bool{
			fmt.Sprintf("%d of %d people did not rate every sample", skip, n): skip > 0,
			"did not rate every sample, and all that they said counts":        skip > 0,
			fmt.Sprintf("The %d sittings count as a few of many", sittings):   sittings > 1 && f.Panel.Sittings > 0,
			"sittings count as a few of many":                                 sittings > 1 && f.Panel.Sittings > 0,
			fmt.Sprintf("%.2f between people",
				f.Panel.Scatter[0].SD): f.Panel.Scatter[0].Of == analysis.ScatterAssessor,
			"no sitting was rated higher":                    flat(f, analysis.ScatterSitting),
			"no assessor rates higher or lower than another": flat(f, analysis.ScatterAssessor),
		} {
			if strings.Contains(text, claim) != is {
				t.Errorf("says %q: %t in %s", claim, !is, text)
			}
		}
	})
}

// flat reports whether a scatter is there and zero.
func flat(f analysis.Finding, of analysis.ScatterOf) bool {
	for _, x := range f.Panel.Scatter {
		if x.Of == of && x.SD == 0 {
			return true
		}
	}
	return false
}
