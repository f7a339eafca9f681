package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/study"
)

var answerTetrad = answering{question: study.Tetrad, sized: rightOrWrong(stats.Tetrad)}
