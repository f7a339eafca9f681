package panel

import "cloche/internal/study"

// Runs reports whether this service has ballots for a question, so that a study of it
// can be locked and tasted on phones. What its answers say is another matter: see
// [analysis.Finds].
func Runs(q study.Question) bool {
	_, known := responses[q.Response()]
	return known
}
