package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerDuoTrio = answering{question: study.DuoTrio, sized: rightOrWrong(choice.DuoTrio)}
