package design

import "cloche/internal/study"

var drawRankingByAttribute = allAtOnce(study.RankingByAttribute)
