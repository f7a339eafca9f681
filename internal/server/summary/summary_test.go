package summary

import (
	"fmt"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
	"cloche/studies"
)

// TestServingsSideBySideAreSaidSo: the words of a study speak of what its guests get, in
// the summary and on the sheet of the plan.
func TestServingsSideBySideAreSaidSo(t *testing.T) {
	for _, tc := range []struct {
		name      string
		file      []byte
		says, not []string
	}{
		{"a choice", studies.BrownedButter, []string{"2 servings side by side",
			"“Which do you like better?”, or “No preference”"},
			[]string{"one after the other", "seconds between servings"}},
		{"ratings", studies.CeleriacCustard, []string{"one after the other", "seconds between servings"},
			[]string{"side by side"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s, problems := study.Parse("study.yaml", tc.file)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			sum := Of(site.TongueIn("en"), panel.Study{Spec: s}, nil)
			for what, text := range map[string]string{
				"summary": fmt.Sprint(sum.Asked, sum.Attributes, sum.Panel),
				"sheet":   fmt.Sprint(PlanParts(site.TongueIn("en"), s)),
			} {
				for _, words := range tc.says {
					if !strings.Contains(text, words) {
						t.Errorf("the %s does not say %q: %s", what, words, text)
					}
				}
				for _, words := range tc.not {
					if strings.Contains(text, words) {
						t.Errorf("the %s says %q: %s", what, words, text)
					}
				}
			}
		})
	}
}
