package design

import "cloche/internal/study"

var drawProfile = oneByOne(study.Profile)
