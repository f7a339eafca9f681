package analysis

import (
	"math"
	"slices"
	"strings"

	"cloche/internal/stats"
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
	PerRating   float64 // SpreadPerRating, SpreadByRule: standard deviation of one rating
	Correlation float64 // SpreadPerRating: of an assessor's two ratings
	Studies     int     // SpreadEarlier: studies pooled …
	Pairs       int     // … and assessors in them
	Invented    bool    // SpreadEarlier: the ratings are invented
}

// GivenSpread is a spread that somebody knows.
func GivenSpread(sd float64) Spread { return Spread{SD: sd, Source: SpreadGiven} }

// SpreadOfRatings turns the standard deviation of one rating into the spread that
// a test needs: times √(2(1 − r)) for the difference of two ratings of one assessor
// that correlate by r, itself between groups. Errors: [*SizingError].
func SpreadOfRatings(test SizedTest, sd, r float64) (Spread, error) {
	if !(r > -1 && r < 1) {
		return Spread{}, &SizingError{"correlation", "a correlation lies between −1 and 1", "write a number such as 0.5, or leave it out for 0"}
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

// Earlier is a closed study with what it found.
type Earlier struct {
	Study  *study.Study
	Result *Result
}

// EarlierSpread pools the standard deviation of the differences over the earlier
// studies that tell something of this one, see [TellsSpread]. Each gives one
// comparison, that of its own plan, weighted by its degrees of freedom. Not ok
// when there are none.
func EarlierSpread(s *study.Study, earlier []Earlier) (spread Spread, ok bool) {
	squares, df := 0.0, 0
	for _, e := range earlier {
		f, found := plannedFinding(s, e)
		if !found {
			continue
		}
		sd := stats.SD(differences(f))
		squares += sd * sd * float64(f.N-1)
		df += f.N - 1
		spread.Studies++
		spread.Pairs += f.N
		spread.Invented = spread.Invented || e.Study.Invented
	}
	if squares == 0 {
		return Spread{}, false
	}
	spread.SD, spread.Source = math.Sqrt(squares/float64(df)), SpreadEarlier
	return spread, true
}

// TellsSpread reports whether the ratings of an earlier study tell how much those of
// the primary attribute will scatter: it asked the same, by its id or its words, on a
// scale with the same ends, and its assessors tasted both samples as they will here.
// Invented ratings tell something only of a study that is invented itself.
func TellsSpread(s, earlier *study.Study) bool {
	within := func(s *study.Study) bool { return s.Serving.Design != study.One && !s.Question.IsDifferenceTest() }
	want, known := s.Attribute(s.Plan.Attribute)
	return known && within(s) && within(earlier) && (s.Invented || !earlier.Invented) &&
		slices.ContainsFunc(earlier.Attributes, func(a study.Attribute) bool { return alike(want, a) })
}

// plannedFinding is what an earlier study found for its own comparison on an
// attribute like the one that decides here.
func plannedFinding(s *study.Study, e Earlier) (Finding, bool) {
	if !TellsSpread(s, e.Study) {
		return Finding{}, false
	}
	want, _ := s.Attribute(s.Plan.Attribute)
	for _, f := range e.Result.Findings {
		a, _ := e.Study.Attribute(f.Attribute)
		if f.Comparison == e.Study.Plan.Compare && alike(want, a) && len(f.Pairs) >= 2 {
			return f, true
		}
	}
	return Finding{}, false
}

func alike(a, b study.Attribute) bool {
	same := a.ID == b.ID || strings.EqualFold(strings.TrimSpace(a.Ask), strings.TrimSpace(b.Ask))
	return same && a.Scale.Min() == b.Scale.Min() && a.Scale.Max() == b.Scale.Max()
}

func differences(f Finding) []float64 {
	d := make([]float64, len(f.Pairs))
	for i, v := range f.Pairs {
		d[i] = v.First - v.Second
	}
	return d
}
