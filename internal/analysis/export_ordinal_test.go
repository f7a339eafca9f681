package analysis

import "cloche/internal/stats/numeric"

// OrderedAnswersOf is how answers are taken to come about: the logistic scale, and how far
// apart lies what is found of two samples.
func OrderedAnswersOf(labels int, spread, difference float64) (scale, apart float64) {
	m, _ := answersWith(labels, spread, false)
	return m.scale, numeric.Bisect(0, 20*float64(labels), func(x float64) bool { return m.difference(x) < difference })
}

// OrderedGroupsOf is the same of two groups, each of whom answers of one sample.
func OrderedGroupsOf(labels int, spread, difference float64) (scale, apart float64) {
	m, _ := answersWith(labels, spread, true)
	return m.scale, numeric.Bisect(0, 20*float64(labels), func(x float64) bool { return m.difference(x) < difference })
}
