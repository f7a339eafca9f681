package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerTwoAFC = answering{question: study.TwoAFC, find: findPaired, sized: rightOrWrong(choice.TwoAFC)}
