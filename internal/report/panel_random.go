package report

import (
	"fmt"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// randomLines say what has levels at random in the model of all samples: how many ratings
// it rests on where some were not given, and by how much people and sittings scatter.
func randomLines(s *study.Study, f analysis.Finding) (lines []string) {
	p := f.Panel
	if some := f.N - p.Complete; some > 0 {
		lines = append(lines, fmt.Sprintf("%d of %s did not rate every sample, and all that they said counts: a "+
			"difference is known from those who rated both samples, and from how high people rate who were served "+
			"one of the two.", some, people(f.N)))
	}
	if len(p.Scatter) == 0 {
		return lines
	}
	a, _ := s.Attribute(f.Attribute)
	words := map[analysis.ScatterOf]string{
		analysis.ScatterAssessor: "between people",
		analysis.ScatterSitting:  "between sittings",
		analysis.ScatterDay:      "for one person between sittings",
		analysis.ScatterSample:   "for one person between samples, beyond what all find of them",
		analysis.ScatterRest:     "between what one person says of servings, beyond what sample and position do",
	}
	var parts []string
	for _, x := range p.Scatter {
		parts = append(parts, fmt.Sprintf("%s %s", number(x.SD, decimalsFor(a.Scale)+1), words[x.Of]))
	}
	lines = append(lines, fmt.Sprintf("Standard deviations by the model, in %s: %s.", points(a.Scale),
		strings.Join(parts, "; ")))
	if p.Sittings > 0 {
		lines = append(lines, fmt.Sprintf("The %d sittings count as a few of many that could be: the intervals of the "+
			"means speak of other sittings too, and are wide where sittings are few and differ; those of the pairs "+
			"are not, where both samples are served at a sitting.", p.Sittings))
	}
	return lines
}
