package datapackage

import (
	"path/filepath"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/study"
)

// TestScriptsDrawTheLotteryAnew: R and Python count p and the ends of the interval anew in draws of the plan that the
// package has, of four samples and of groups; a p that the draws do not give is found.
func TestScriptsDrawTheLotteryAnew(t *testing.T) {
	t.Parallel()
	needsR(t)
	byLottery := func(name string) Data {
		file := strings.Replace(example(t, name+".yaml"), "test: paired-t", "test: lottery", 1)
		return closed(t, strings.Replace(file, "test: welch-t", "test: lottery", 1),
			func(asked *study.Study, plan *design.Plan) []analysis.Rating {
				truth := analysis.Truth{}
				for _, a := range asked.Attributes {
					truth[a.ID] = analysis.TrueAttribute{Mean: 5, AssessorSD: 1, RatingSD: 1,
						Effects: map[study.SampleID]float64{asked.Plan.Compare[0]: 0.7}}
				}
				return analysis.Simulate(asked, plan, truth, 4)
			})
	}
	all := map[string]Data{"four": byLottery("four-custards"), "groups": byLottery("one-name-each"),
		"wrong": byLottery("one-name-each")}
	all["wrong"].Findings.Findings[0].Test.P += 0.2
	root, folders := t.TempDir(), []string{}
	for name, d := range all {
		if m := d.Findings.Findings[0].Test.Method; m != method.Lottery {
			t.Fatalf("%s is tested by %s: %v", name, m, d.Findings.Findings[0].Warnings)
		}
		folders = append(folders, packed(t, filepath.Join(root, name), d))
	}
	counted := func(folder, script, said string) {
		name, found, differs := filepath.Base(folder), 0, false
		for line := range strings.Lines(said) {
			if strings.Contains(line, " test.p ") && strings.Contains(line, " to ") {
				found++
			}
			differs = differs || strings.Contains(line, "DIFFERS")
		}
		if found == 0 || differs != (name == "wrong") {
			t.Errorf("%s, %s counted %d p by its own draws:\n%s", name, script, found, said)
		}
	}
	inPython := scriptsInPython(t, folders)
	for i, said := range scriptsInR(t, folders) {
		counted(folders[i], "R", said)
		counted(folders[i], "Python", inPython[i])
	}
}
