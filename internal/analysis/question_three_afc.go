package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerThreeAFC = answering{question: study.ThreeAFC, sized: rightOrWrong(choice.ThreeAFC)}
