package design

import "cloche/internal/study"

var drawAmounts = oneByOne(study.HowMuch)
