package design

import "cloche/internal/study"

// drawTriangle uses the six orders of ISO 4120.
var drawTriangle = sideBySide(study.Triangle, "AAB", "ABA", "BAA", "BBA", "BAB", "ABB")
