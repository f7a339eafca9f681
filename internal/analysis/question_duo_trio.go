package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerDuoTrio = answering{question: study.DuoTrio, find: findTold(choice.DuoTrio, asReference), right: asReference,
	sized: rightOrWrong(choice.DuoTrio)}
