package analysis

import "cloche/internal/study"

// FoundAlone is what a question's finder makes of answers, without what [Analyse] reckons
// beside it: for tests that simulate many studies and look at the finding alone.
func FoundAlone(s *study.Study, answers []Rating) (*Result, error) {
	question, _ := answeringOf(s.Question)
	r := &Result{Assessors: len(assessorsOf(answers))}
	return r, question.find(s, answers, nil, newLeftOut(nil), r)
}
