package analysis

import "cloche/internal/study"

var answerWhichWords = answering{question: study.WhichWords, find: findWords, sized: byTicks}
