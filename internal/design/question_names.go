package design

import "cloche/internal/study"

var drawNaming = oneByOne(study.Naming)
