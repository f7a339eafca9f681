package datapackage

import (
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/study"
)

// otherwisePlanned are examples with another line in the analysis plan, which the scripts have
// to recompute as well: pairs and effects of names in the mixed model, one side, ranks, and the
// plan’s lottery, planned and as a check. Some have other words in their file too, old and new:
// so many people that the lottery is counted whole where somebody is left out, hyphens in the
// names of samples. Of some everybody gives an attribute of some samples the same rating.
var otherwisePlanned = []struct {
	name, example, line string
	words               []string
	alike               study.AttributeID // of the samples that alikeOf names
	alikeOf             string
}{
	{"pairs in the model", "seven-caramels", "test: mixed-t", nil, "", ""},
	{"names in the model", "recipe-or-name", "test: mixed-f", nil, "", ""},
	{"one side", "rested-custard", "sides: greater", nil, "", ""},
	{"ranks of two groups", "one-name-each", "test: rank-sum", nil, "", ""},
	{"practically the same", "rested-custard", "test: equivalence", nil, "", ""},
	{"lottery", "rested-custard", "test: lottery", nil, "", ""},
	{"lottery beside", "rested-custard", "test: paired-t", nil, "", ""},
	{"lottery of thirty", "rested-custard", "test: lottery", []string{"seats: 20", "seats: 15",
		"assessors: 40", "assessors: 30"}, "", ""},
	{"hyphens in pairs", "seven-caramels", "test: mixed-t", []string{"id: C\n", "id: C-salted\n",
		"[C, A]", "[C-salted, A]"}, "", ""},
	{"hyphens in an order", "salt-in-order", "expected order: [D-12, C, B-8, A]", []string{"id: D\n", "id: D-12\n",
		"id: B\n", "id: B-8\n"}, "", ""},
	{"hyphens beside words", "custard-in-words", "alpha: 0.05", []string{"id: A\n", "id: A-1\n",
		"id: B\n", "id: B-1\n"}, "", ""},
	{"all groups alike", "one-name-each", "test: welch-t", nil, "saltiness", "AB"},
	{"a level alike", "recipe-or-name", "test: paired-t", nil, "richness", "P0"},
	{"one liked alike", "sweet-enough", "alpha: 0.05", nil, "liking", "A"},
}

// packedOtherwise writes the packages of [otherwisePlanned] into folders of root.
func packedOtherwise(t *testing.T, root string) (folders []string) {
	t.Helper()
	for _, tc := range otherwisePlanned {
		key := regexp.MustCompile(`^[\w ]+:`).FindString(tc.line)
		text := regexp.MustCompile(`(?m)^  `+key+`.*\n`).ReplaceAllString(example(t, tc.example+".yaml"), "")
		text = regexp.MustCompile(`(?m)^analysis:\n`).ReplaceAllString(text, "analysis:\n  "+tc.line+"\n")
		text = strings.NewReplacer(tc.words...).Replace(text)
		var ratings []analysis.Rating
		d := closed(t, text, func(asked *study.Study, plan *design.Plan) []analysis.Rating {
			const seed = 7
			ratings = calibrate.Answers(asked, plan, seed, rand.New(rand.NewPCG(seed, 1)))
			for i := range ratings {
				if ratings[i].Attribute == tc.alike && strings.Contains(tc.alikeOf, string(ratings[i].Sample)) {
					ratings[i].Value = 5
				}
			}
			return ratings
		})
		if strings.HasPrefix(tc.name, "lottery") {
			found, err := analysis.Analyse(d.Study.Spec, ratings,
				analysis.Options{Lottery: &analysis.Lottery{Plan: d.Plan}})
			must(t, err)
			d.Findings = found
		}
		folders = append(folders, packed(t, filepath.Join(root, tc.name), d))
	}
	return folders
}
