package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// absent is what stands where a number could not be computed.
const absent = "not computed"

// number writes v with n decimals and a true minus sign.
func number(v float64, n int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return absent
	}
	text := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Trim(text, "-0.") == "" { // no minus before a zero
		return strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", "−", 1)
}

// signed is number with a plus sign before what is above zero.
func signed(v float64, n int) string {
	text := number(v, n)
	if v > 0 && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

// interval writes the ends of an interval as "2.1 to 10.3".
func interval(i stats.Interval, n int) string {
	if i.Absent() {
		return absent
	}
	return number(i.Lo, n) + " to " + number(i.Hi, n)
}

// percent writes a level such as 0.95 as "95 %".
func percent(level float64) string {
	return strconv.FormatFloat(math.Round(level*1e6)/1e4, 'f', -1, 64) + " %"
}

// levelWords is percent for a level that was not chosen but follows from counts:
// one decimal, never more than it is.
func levelWords(level float64) string {
	if chosen := math.Round(level*1e4) / 1e4; math.Abs(level-chosen) < 1e-9 {
		return percent(chosen)
	}
	return percent(math.Floor(level*1000) / 1000)
}

// pValue writes a p-value: three decimals, or that it is smaller.
func pValue(p float64) string {
	switch {
	case math.IsNaN(p):
		return absent
	case p < 0.001:
		return "below 0.001"
	case p > 0.999:
		return "above 0.999"
	}
	return number(p, 3)
}

// exactP writes a p-value with four significant digits, for the technical part.
func exactP(p float64) string {
	if math.IsNaN(p) {
		return absent
	}
	return strconv.FormatFloat(p, 'g', 4, 64)
}

// pPhrase writes a p-value within a sentence: "p = 0.012", "p < 0.001".
func pPhrase(p float64) string {
	switch {
	case math.IsNaN(p):
		return "p not computed"
	case p < 0.001:
		return "p < 0.001"
	case p > 0.999:
		return "p > 0.999"
	}
	return "p = " + number(p, 3)
}

// decimalsFor is how many decimals a difference on a scale is read with.
func decimalsFor(s study.Scale) int {
	if s.Max()-s.Min() >= 50 {
		return 1
	}
	return 2
}

// points is [pointsOf] in English.
func points(s study.Scale) string { return pointsOf(s).String() }

// countedPoints are so many points: "5 points of 100", "1 point on the scale from 1 to 9".
func countedPoints(v float64, s study.Scale) string {
	words := points(s)
	if v == 1 {
		words = strings.Replace(words, "points", "point", 1)
	}
	return fmt.Sprintf("%g %s", v, words)
}

// end writes an end of a scale.
func end(v float64) string {
	return strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), "-", "−", 1)
}
