package design

import "cloche/internal/study"

// drawSameDifferent uses matched and unmatched pairs (ASTM E2139).
var drawSameDifferent = sideBySide(study.SameDifferent, "AA", "BB", "AB", "BA")
