package analysis

import "cloche/internal/study"

var answerRating = answering{question: study.Rating, find: findRatings}
