package analysis

import (
	"math"

	"cloche/internal/study"
)

// SpreadSource is where a spread comes from.
type SpreadSource string

// The sources of a spread.
const (
	SpreadGiven     SpreadSource = "given"           // of the differences, as somebody said
	SpreadPerRating SpreadSource = "per-rating"      // from the spread of one rating and a correlation
	SpreadByRule    SpreadSource = "rule-of-thumb"   // nothing is known
	SpreadEarlier   SpreadSource = "earlier-studies" // pooled over closed studies
)

// Rules of thumb, as shares of the length of the scale.
const (
	// RatingNoise is the root mean square error of one hedonic rating after
	// people and samples are taken out (Hough et al. 2006, Food Qual. Prefer. 17:522,
	// mean over many studies; from memory).
	RatingNoise = 0.23
	// RatingScatter is the standard deviation of ratings between people: 2 points
	// of the 8 of a nine-point hedonic scale, the upper end of what is usual (common
	// practice, no source).
	RatingScatter = 0.25
)

// Spread is how much ratings scatter, in scale points.
type Spread struct {
	SD          float64 // of the differences within an assessor; of ratings within a group when each gets one sample
	Source      SpreadSource
	PerRating   float64  // SpreadPerRating, SpreadByRule: standard deviation of one rating
	Correlation float64  // SpreadPerRating: of an assessor's two ratings
	Pooled      float64  // SpreadEarlier: what was found, of which SD is the upper limit, …
	Studies     []string // … the titles of the studies pooled …
	Pairs       int      // … and the assessors in them
	Differ      bool     // SpreadEarlier: studies scatter differently, and SD allows for it
	Invented    bool     // SpreadEarlier: the ratings are invented
}

// GivenSpread is a spread that somebody knows.
func GivenSpread(sd float64) Spread { return Spread{SD: sd, Source: SpreadGiven} }

// SpreadOfRatings turns the standard deviation of one rating into the spread that
// a test needs: times √(2(1 − r)) for the difference of two ratings of one assessor
// that correlate by r, itself between groups. Errors: [*SizingError].
func SpreadOfRatings(test SizedTest, sd, r float64) (Spread, error) {
	if !(r > -1 && r < 1) {
		return Spread{}, &SizingError{"correlation", study.Say("a correlation lies between −1 and 1"),
			study.Say("write a number such as 0.5, or leave it out for 0")}
	}
	s := Spread{SD: sd * math.Sqrt(2*(1-r)), Source: SpreadPerRating, PerRating: sd, Correlation: r}
	if test.betweenGroups() {
		s.SD, s.Correlation = sd, 0
	}
	return s, nil
}

// RuleOfThumb is the spread on a scale of some length when nothing is known.
func RuleOfThumb(test SizedTest, length float64) Spread {
	noise := RatingNoise * length
	s := Spread{SD: math.Sqrt2 * noise, Source: SpreadByRule, PerRating: noise}
	if test.betweenGroups() {
		s.SD = RatingScatter * length
		s.PerRating = s.SD
	}
	return s
}
