package design

import "cloche/internal/study"

// drawPreference uses both orders of a pair (ISO 5495).
var drawPreference = sideBySide(study.Preference, "AB", "BA")
