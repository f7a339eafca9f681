package analysis

import (
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

var answerTriangle = answering{question: study.Triangle, sized: rightOrWrong(choice.Triangle)}
