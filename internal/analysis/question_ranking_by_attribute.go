package analysis

import "cloche/internal/study"

var answerRankingByAttribute = answering{question: study.RankingByAttribute, find: findRanking, sized: inOrder}
