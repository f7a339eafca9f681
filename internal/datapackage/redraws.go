package datapackage

import (
	"bytes"
	"fmt"

	"cloche/internal/design"
	"cloche/internal/study"
)

// redrawsFile has draws of the plan's lottery beside those that the report counts, so that a reader can count anew.
const redrawsFile = "redraws.txt"

// A package holds so many draws, and fewer of a plan of so many servings that they would not be small.
const mostRedraws, mostRedrawn = 1_999, 500_000

// drawsAgain reports whether the plan's lottery is the test and can be drawn again, but not by the scripts: of two
// samples, each served once to everybody, these draw it by themselves.
func (d Data) drawsAgain() bool {
	s := d.Study.Spec
	simple := len(s.Samples) == 2 && s.Serving.Design == study.All && s.Serving.Replicates <= 1
	return s.Plan.Test == study.Lottery && !d.Plan.OnArrival && s.Question.CollectsRatings() && !simple
}

// redraws are drawn as the plan was, from a seed next to its own: the rated servings in the first line, as
// assessor:position, and in each further line their samples.
func (d Data) redraws() ([]byte, error) {
	draws, err := design.Redraw(d.Study.Spec, d.Plan, d.Plan.Seed+1)
	if err != nil {
		return nil, fmt.Errorf("draw the plan again: %w", err)
	}
	var b bytes.Buffer
	line := func(word func(at int) string) {
		between := ""
		for at, v := range d.Plan.Servings {
			if v.Role == design.Rated {
				b.WriteString(between + word(at))
				between = " "
			}
		}
		b.WriteByte('\n')
	}
	line(func(at int) string {
		return fmt.Sprintf("%d:%d", d.Plan.Servings[at].Assessor+1, d.Plan.Servings[at].Position)
	})
	for range min(mostRedraws, max(1, mostRedrawn/len(d.Plan.Servings))) {
		sample := draws.Next()
		line(func(at int) string { return string(d.Plan.Samples[sample[at]]) })
	}
	return b.Bytes(), nil
}
