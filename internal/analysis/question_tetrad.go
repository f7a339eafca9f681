package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerTetrad = answering{question: study.Tetrad, find: findTold(choice.Tetrad, pairsAlike), right: pairsAlike,
	sized: rightOrWrong(choice.Tetrad)}

// pairsAlike reports whether the two servings of each pair are of one sample.
func pairsAlike(_ *study.Study, t choiceTurn) bool {
	of := map[float64]study.SampleID{}
	for _, v := range t.servings {
		if other, ok := of[v.Value]; ok && other != v.Sample {
			return false
		}
		of[v.Value] = v.Sample
	}
	return true
}
