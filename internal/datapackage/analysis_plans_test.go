package datapackage

import (
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/study"
)

// otherwisePlanned are examples with another line in the analysis plan, which the scripts have
// to recompute as well: pairs and effects of names in the mixed model, one side, and ranks.
var otherwisePlanned = []struct{ name, example, line string }{
	{"pairs in the model", "seven-caramels", "test: mixed-t"},
	{"names in the model", "recipe-or-name", "test: mixed-f"},
	{"one side", "rested-custard", "sides: greater"},
	{"one side of two groups", "one-name-each", "sides: greater"},
	{"ranks of two groups", "one-name-each", "test: rank-sum"},
}

// packedOtherwise writes the packages of [otherwisePlanned] into folders of root.
func packedOtherwise(t *testing.T, root string) (folders []string) {
	t.Helper()
	for _, tc := range otherwisePlanned {
		key := regexp.MustCompile(`^\w+:`).FindString(tc.line)
		text := regexp.MustCompile(`(?m)^  `+key+`.*\n`).ReplaceAllString(example(t, tc.example+".yaml"), "")
		text = regexp.MustCompile(`(?m)^analysis:\n`).ReplaceAllString(text, "analysis:\n  "+tc.line+"\n")
		d := closed(t, text, func(asked *study.Study, plan *design.Plan) []analysis.Rating {
			const seed = 7
			return calibrate.Answers(asked, plan, seed, rand.New(rand.NewPCG(seed, 1)))
		})
		folders = append(folders, packed(t, filepath.Join(root, tc.name), d))
	}
	return folders
}
