package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerTwoAFC = answering{question: study.TwoAFC, sized: rightOrWrong(choice.TwoAFC)}
