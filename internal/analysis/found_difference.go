package analysis

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/stats"
	"cloche/internal/stats/meta"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// Contrast is in what two samples differ.
type Contrast string

// The contrasts.
const (
	ContrastNames  Contrast = "names"  // one dish under two names, or under one and blind
	ContrastDishes Contrast = "dishes" // two dishes under one name, or blind
	ContrastBoth   Contrast = "both"
)

func contrastOf(s *study.Study) Contrast {
	a, _ := s.Sample(s.Plan.Compare[0])
	b, _ := s.Sample(s.Plan.Compare[1])
	switch {
	case a.Dish == b.Dish:
		return ContrastNames
	case a.Name == b.Name:
		return ContrastDishes
	}
	return ContrastBoth
}

// FoundDifference is what later studies and the house's record need of a closed one: what
// the differences of its assessors were on one attribute, and how far they scattered, in
// the comparison that it had planned.
type FoundDifference struct {
	Study     string // title
	Question  study.Question
	Contrast  Contrast
	Attribute study.AttributeID
	Asked     string // the attribute in words
	Scale     study.ScaleKind
	From, To  float64 // ends of the scale
	People    int     // who rated both samples
	SD        float64 // of their differences, scale points
	Invented  bool

	Samples    [2]string // that were compared, in words
	Alike      string    // the dish that both are, or the name that both have; "" when they have neither
	Difference float64   // mean of theirs, the first sample less the second; see Stopping
	Decides    bool      // the study had planned to decide by this attribute
	Smallest   float64   // difference worth acting on that it had stated for it; 0 = none
	Counted    bool      // its plan counted evidence on it after everybody
	LogE       float64   // ln of that evidence where tasting ended

	// Of a study that might have stopped early by what it found: how, and the interval of the difference, at
	// [recordLevel], that allows for it. Where looks were planned, Difference is the estimate after them.
	Stopping  StopsBy
	Low, High float64
}

// StopsBy is what may end a tasting before everybody has come.
type StopsBy string

// What may end it. The zero value is nothing.
const (
	StopsByLooks    StopsBy = "looks"
	StopsByEvidence StopsBy = "evidence"
)

// FoundDifferences are those of a study: one for each attribute on which two people or
// more rated both samples, but for whom the screening leaves out. None when the
// assessors did not taste both. Errors: [ErrRating], [ErrPlan].
func FoundDifferences(s *study.Study, ratings []Rating, said []Screened) ([]FoundDifference, error) {
	ratings, _ = screen(ScreenedOut(s, said), ratings, nil)
	if !tastesBoth(s) || len(ratings) == 0 {
		return nil, nil
	}
	if err := checkPlan(s); err != nil {
		return nil, err
	}
	t, err := tabulate(s, ratings)
	if err != nil {
		return nil, err
	}
	var all []FoundDifference
	for _, a := range s.Averaged() {
		pairs, _ := t.pairs(comparison{attribute: a, pair: s.Plan.Compare}, s.Serving.Design, newLeftOut(nil))
		if len(pairs) < 2 {
			continue
		}
		f, d := likeOf(s, a), differencesOf(pairs)
		f.Study, f.People, f.SD, f.Invented = s.Title, len(pairs), stats.SD(d), s.Invented
		f.Samples = [2]string{Label(s, s.Plan.Compare[0]), Label(s, s.Plan.Compare[1])}
		f.Difference, f.Alike = stats.Mean(d), alikeIn(s)
		if f.Decides = a.ID == s.Plan.Attribute; f.Decides {
			f.Smallest = s.Plan.SmallestEffect
			if err := f.allowForStopping(s, ratings); err != nil {
				return nil, err
			}
		}
		all = append(all, f)
	}
	return all, nil
}

// allowForStopping puts what a plan that may stop early comes to in the place of the plain mean, which then
// exaggerates: of whoever counts, the estimate and the interval that the report has, at [recordLevel]. Whom the
// screening leaves out is gone already.
func (f *FoundDifference) allowForStopping(s *study.Study, ratings []Rating) error {
	if !s.Plan.LooksEarly() {
		return nil
	}
	main, when, err := ratedBoth(s, ratings, nil)
	if err != nil {
		return err
	}
	if s.Plan.Evidence != "" {
		err = main.takeEvidence(s, when)
	} else {
		err = main.takeLooks(s, when, false)
	}
	if err != nil {
		return fmt.Errorf("when %q ended: %w", s.Title, err)
	}
	d := differencesOf(main.Pair.Each)
	f.People, f.SD, f.Difference = len(d), stats.SD(d), stats.Mean(d)
	estimate := main.estimatedAfterLooks
	if f.Stopping = StopsByLooks; main.Evidence != nil {
		f.Stopping, f.Counted, f.LogE = StopsByEvidence, true, main.Evidence.LogE()
		estimate = main.estimatedByEvidence
	}
	if len(d) < 2 || !(f.SD > 0) {
		f.Stopping = "" // there is no interval that could allow for anything
		return nil
	}
	e, err := estimate(recordLevel)
	if err != nil {
		return fmt.Errorf("what %q found, with its plan of when to stop: %w", s.Title, err)
	}
	f.Difference, f.Low, f.High = e.value, e.ci.Lo, e.ci.Hi
	return nil
}

// alikeIn is what the two samples that are compared have in common, in words.
func alikeIn(s *study.Study) string {
	first, _ := s.Sample(s.Plan.Compare[0])
	switch contrastOf(s) {
	case ContrastNames:
		dish, _ := s.Dish(first.Dish)
		return dish.Title
	case ContrastDishes:
		return s.NameText(first.ID)
	}
	return ""
}

func differencesOf(pairs []Pair) []float64 {
	d := make([]float64, len(pairs))
	for i, p := range pairs {
		d[i] = p.First - p.Second
	}
	return d
}

// tastesBoth reports whether each assessor rates both samples of a comparison.
func tastesBoth(s *study.Study) bool {
	return s.Serving.Design != study.One && s.Question.Kind().Plans("effect of") && s.Plan.ComparesTwo()
}

// likeOf says what an earlier spread has to be of to tell something of an attribute.
func likeOf(s *study.Study, a study.Attribute) FoundDifference {
	return FoundDifference{Question: s.Question, Contrast: contrastOf(s), Attribute: a.ID, Asked: a.Ask,
		Scale: a.Scale.Kind, From: a.Scale.Min(), To: a.Scale.Max()}
}

// Like is what an earlier spread has to be of to tell how much the ratings of a
// study will scatter; not ok when none can tell.
func Like(s *study.Study) (like FoundDifference, ok bool) {
	a, ok := s.Attribute(s.Plan.Attribute)
	return likeOf(s, a), ok && a.Scale.Kind != "" && tastesBoth(s)
}

// tells reports whether a spread that was found tells something of what is like:
// the same kind of question about the same kind of difference, asked by the same id
// or in the same words on the same scale.
func (f FoundDifference) tells(like FoundDifference) bool {
	same := f.Attribute == like.Attribute || strings.EqualFold(strings.TrimSpace(f.Asked),
		strings.TrimSpace(like.Asked))
	return same && f.Question == like.Question && f.Contrast == like.Contrast &&
		f.Scale == like.Scale && f.From == like.From && f.To == like.To
}

const (
	mostEarlier = 20  // studies that a spread is pooled over: the first given
	upperLevel  = 0.8 // of the limit that stands in for a spread: see [size.SDUpperLimit]
	wellKnown   = 5   // studies that tell how much studies differ in their spread (common practice, no source)
)

// EarlierSpread pools what earlier studies found that tells something of this one,
// each weighted by its degrees of freedom. Where they differ by more than chance it takes, from
// [wellKnown] studies on, the 80 % quantile of how far studies scatter, which the next stays below
// four times in five ([Spread].Differ); else the upper 80 % limit of what was pooled (the fewer the
// people, the further it lies above), or the quantile where that is larger; never more than the
// length of the scale. Sized by the middle, every second study would fall short. Invented ratings tell something
// only of a study that is invented itself. Not ok when there is nothing to pool.
func EarlierSpread(s *study.Study, found []FoundDifference) (spread Spread, ok bool) {
	like, ok := Like(s)
	if !ok {
		return Spread{}, false
	}
	squares, df := 0.0, 0
	var each []meta.StudySpread
	for _, f := range found {
		if !f.tells(like) || f.People < 2 || f.Invented && !s.Invented || len(spread.Studies) == mostEarlier {
			continue
		}
		squares += f.SD * f.SD * float64(f.People-1)
		df += f.People - 1
		if f.SD > 0 {
			each = append(each, meta.StudySpread{SD: f.SD, DF: float64(f.People - 1)})
		}
		spread.Studies = append(spread.Studies, f.Study)
		spread.Pairs += f.People
		spread.Invented = spread.Invented || f.Invented
	}
	if squares == 0 {
		return Spread{}, false
	}
	spread.Source, spread.Pooled = SpreadEarlier, math.Sqrt(squares/float64(df))
	upper := size.SDUpperLimit(spread.Pooled, df, upperLevel)
	if r, err := meta.Spreads(each); err == nil && !math.IsInf(r.PriorDF, 1) {
		if next := r.Next(upperLevel); len(each) >= wellKnown || next > upper {
			upper, spread.Differ = next, true
		}
	}
	// No differences on a scale scatter by more than its length, or hardly.
	spread.SD = max(spread.Pooled, min(upper, like.To-like.From))
	return spread, true
}

// Words says where a spread comes from, so that it can stand after it.
func (s Spread) Words() study.Said {
	switch s.Source {
	case SpreadByRule:
		return study.Say("by a rule of thumb")
	case SpreadPerRating:
		return study.Say("from %s a rating, correlation %s", Points(s.PerRating), Points(s.Correlation))
	case SpreadEarlier:
		return s.earlierWords()
	}
	return study.Say("as given")
}

// mostNamed is how many earlier studies are named; the others are counted.
const mostNamed = 3

func (s Spread) earlierWords() study.Said {
	var names []string
	for _, title := range s.Studies[:min(mostNamed, len(s.Studies))] {
		names = append(names, "“"+title+"”")
	}
	from := study.Say(strings.Join(names, ", "))
	if more := len(s.Studies) - mostNamed; more > 0 {
		from = study.Say("%s and %d more", from, more)
	}
	if s.Invented {
		from = study.Say("%s (invented ratings)", from)
	}
	taken := study.Say("of which the upper 80 % limit is taken")
	if s.Differ {
		taken = study.Say("but in one study of five it is to be expected above %s, which is taken", Points(s.SD))
	}
	return study.Say("from %s: %s among %d people, %s", from, Points(s.Pooled), s.Pairs, taken)
}
