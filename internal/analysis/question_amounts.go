package analysis

import "cloche/internal/study"

var answerAmounts = answering{question: study.Amounts, find: findAmounts}
