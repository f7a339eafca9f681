package analysis

import "cloche/internal/study"

var answerProfile = answering{question: study.Profile, find: findProfile}
