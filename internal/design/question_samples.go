package design

import "cloche/internal/study"

var drawRating = oneByOne(study.Rating)
