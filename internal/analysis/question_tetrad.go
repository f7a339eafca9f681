package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerTetrad = answering{question: study.Tetrad, sized: rightOrWrong(choice.Tetrad)}
