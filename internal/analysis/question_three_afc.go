package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/study"
)

var answerThreeAFC = answering{question: study.ThreeAFC, sized: rightOrWrong(stats.ThreeAFC)}
