package analysis

import "cloche/internal/study"

var answerAmounts = answering{question: study.HowMuch, find: findAmounts}
