package analysis

import "cloche/internal/study"

var answerSameDifferent = answering{question: study.SameDifferent}
