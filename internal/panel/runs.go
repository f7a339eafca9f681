package panel

import "cloche/internal/study"

// Runs reports whether this service has ballots for a question, so that a study of it
// can be locked and tasted on phones.
func Runs(q study.Question) bool { return q.Response() == study.Rate }
