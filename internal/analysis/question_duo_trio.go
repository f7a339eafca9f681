package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/study"
)

var answerDuoTrio = answering{question: study.DuoTrio, sized: rightOrWrong(stats.DuoTrio)}
