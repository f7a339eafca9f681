package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/study"
)

var answerTriangle = answering{question: study.Triangle, sized: rightOrWrong(stats.Triangle)}
