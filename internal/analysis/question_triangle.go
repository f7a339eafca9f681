package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerTriangle = answering{question: study.Triangle, find: findTold(choice.Triangle, oddOne), right: oddOne,
	sized: rightOrWrong(choice.Triangle)}
