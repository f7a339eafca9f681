package analysis

import "cloche/internal/study"

var answerThreshold = answering{question: study.FromHowMuch, find: findThreshold, right: isRaised}

// isRaised reports whether the serving chosen is the one with the amount.
func isRaised(s *study.Study, t choiceTurn) bool {
	return t.chosen() != "" && t.chosen() == t.raised(s)
}
