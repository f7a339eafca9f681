package report

import (
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// VerdictLine is the first sentence of the verdict on the primary finding, and on how many
// people it rests, for a list of studies; "" when nothing was found.
func VerdictLine(s *study.Study, r *analysis.Result, tell func(study.Said) string) (said string, people int) {
	if all := verdictSentences(s, r, tell); len(all) > 0 {
		said = all[0]
	}
	return said, r.Assessors
}

// WholeVerdict is the verdict on the primary finding, its estimates and their intervals with it, likewise.
func WholeVerdict(s *study.Study, r *analysis.Result, tell func(study.Said) string) (said string, people int) {
	return strings.Join(verdictSentences(s, r, tell), " "), r.Assessors
}

func verdictSentences(s *study.Study, r *analysis.Result, tell func(study.Said) string) []string {
	if len(r.Findings) == 0 {
		return nil
	}
	return spoken(tell, verdictOf(s, r.Findings[0]).Sentences)
}
