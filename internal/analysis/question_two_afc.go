package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/study"
)

var answerTwoAFC = answering{question: study.TwoAFC, sized: rightOrWrong(stats.TwoAFC)}
