package report

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// VerdictLine is the first sentence of the verdict on the primary finding, and on how many
// people it rests, for a list of studies; "" when nothing was found.
func VerdictLine(s *study.Study, r *analysis.Result, tell func(study.Said) string) (said string, people int) {
	if len(r.Findings) == 0 {
		return "", r.Assessors
	}
	if all := spoken(tell, verdictOf(s, r.Findings[0]).Sentences); len(all) > 0 {
		said = all[0]
	}
	return said, r.Assessors
}
