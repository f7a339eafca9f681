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
// plan’s lottery, planned and as a check.
var otherwisePlanned = []struct{ name, example, line string }{
	{"pairs in the model", "seven-caramels", "test: mixed-t"},
	{"names in the model", "recipe-or-name", "test: mixed-f"},
	{"one side", "rested-custard", "sides: greater"},
	{"ranks of two groups", "one-name-each", "test: rank-sum"},
	{"practically the same", "rested-custard", "test: equivalence"},
	{"lottery", "rested-custard", "test: lottery"},
	{"lottery beside", "rested-custard", "test: paired-t"},
}

// packedOtherwise writes the packages of [otherwisePlanned] into folders of root.
func packedOtherwise(t *testing.T, root string) (folders []string) {
	t.Helper()
	for _, tc := range otherwisePlanned {
		key := regexp.MustCompile(`^\w+:`).FindString(tc.line)
		text := regexp.MustCompile(`(?m)^  `+key+`.*\n`).ReplaceAllString(example(t, tc.example+".yaml"), "")
		text = regexp.MustCompile(`(?m)^analysis:\n`).ReplaceAllString(text, "analysis:\n  "+tc.line+"\n")
		var ratings []analysis.Rating
		d := closed(t, text, func(asked *study.Study, plan *design.Plan) []analysis.Rating {
			const seed = 7
			ratings = calibrate.Answers(asked, plan, seed, rand.New(rand.NewPCG(seed, 1)))
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
