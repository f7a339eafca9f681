package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerThreeAFC = answering{question: study.ThreeAFC, find: findTold(choice.ThreeAFC, firstOne), right: firstOne,
	sized: rightOrWrong(choice.ThreeAFC)}
