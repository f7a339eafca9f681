package analysis

import "cloche/internal/study"

var answerRankingByLiking = answering{question: study.RankingByLiking, find: findRanking, sized: inOrder}
