package design

import "cloche/internal/study"

var drawRightAlone = oneByOne(study.RightAlone)
