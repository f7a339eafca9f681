package analysis

// AnsweredLate reports whether answers came so long after their plate was noted as set down
// that they are from memory perhaps.
func AnsweredLate(seconds float64) bool { return seconds > 60*latestMinutes }

// AnsweredSoon reports whether answers came too soon after their plate was noted as set down
// to have tasted it; false when that is not known (0).
func AnsweredSoon(seconds float64) bool { return seconds > 0 && seconds < soonestSeconds }
