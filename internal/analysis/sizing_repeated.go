package analysis

import (
	"math"

	"cloche/internal/study"
)

// chanceOfRating is the share of the variance of a single difference that is chance from one
// rating to the next, where nobody knows: the rest is what people themselves differ by
// (a choice of ours, as in a dry run; no source).
const chanceOfRating = 0.5

// meanOfRatings is the spread of differences of means of so many ratings of each sample, as a
// multiple of that of single ratings: what people differ by stays, and chance averages out.
func meanOfRatings(times int) float64 {
	return math.Sqrt(1 - chanceOfRating + chanceOfRating/float64(times))
}

// besideRepeated sizes the same test where the mean of several ratings lessens the spread: the
// size itself leaves that out. A model of the order of answers takes no means, and that of a
// series has its own spread.
func (z *Size) besideRepeated() {
	q := z.Request
	if q.Replicates < 2 || q.Test == OrdinalTest || q.Test == OrdinalOfGroups || q.Test.OfAmounts() ||
		q.Test == SizedTest(study.Friedman) {
		return
	}
	times := q.Replicates
	q.Spread.SD *= meanOfRatings(times)
	q.Replicates = 1
	z.addBeside(BesideRepeated, study.Say("the same where half of the variance of a single difference is chance "+
		"from one rating to the next, and the mean of %d ratings lessens that", times), q)
}
