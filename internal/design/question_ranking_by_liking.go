package design

import "cloche/internal/study"

var drawRankingByLiking = allAtOnce(study.RankingByLiking)
