package design

import "cloche/internal/study"

// drawTwoAFC uses both orders of a pair (ISO 5495).
var drawTwoAFC = sideBySide(study.TwoAFC, "AB", "BA")
