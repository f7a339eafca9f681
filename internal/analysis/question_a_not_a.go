package analysis

import "cloche/internal/study"

var answerANotA = answering{question: study.ANotA}
