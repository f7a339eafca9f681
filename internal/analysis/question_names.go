package analysis

import "cloche/internal/study"

var answerNaming = answering{question: study.Naming, find: findRatings}
