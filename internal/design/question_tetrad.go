package design

import "cloche/internal/study"

// drawTetrad uses all six ways to set two pairs in a row.
var drawTetrad = sideBySide(study.Tetrad, "AABB", "ABAB", "ABBA", "BAAB", "BABA", "BBAA")
