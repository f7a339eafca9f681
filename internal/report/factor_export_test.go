package report

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// VerdictOf are the sentences on a finding.
func VerdictOf(s *study.Study, f analysis.Finding) []string {
	return spoken(English, verdictOf(s, f).Sentences)
}

// People words a number of people.
func People(n int) string { return people(n).String() }
