package design

import "cloche/internal/study"

// drawThreeAFC uses the three places of the one stronger sample, which is the first of
// the study.
var drawThreeAFC = sideBySide(study.ThreeAFC, "ABB", "BAB", "BBA")
