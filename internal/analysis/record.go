package analysis

import (
	"math"
	"strings"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/meta"
	"cloche/internal/study"
)

// Record is what the closed studies of one question say together: the same two samples,
// the same attribute on the same scale, one study after the other with other guests.
type Record struct {
	Studies   []FoundDifference // as they came; the differences all in the sense of the first
	Places    []int             // of the studies, in what was given
	Intervals []stats.Interval  // of each study's mean difference, 95 %: Student's t, or what allows for an early stop
	Together  *Together         // nil where fewer than two studies can be combined
	Apart     []string          // titles of studies that asked the same of the same two on another scale
}

// Codes of the warnings of a record.
const (
	WarnFewStudies = meta.WarnFewStudies
	WarnSameGuests = "same-guests"
	WarnOtherScale = "other-scale"
)

// Warnings are what to mind of what studies say together, by stable codes.
func (r Record) Warnings() (all []Warning) {
	for _, x := range r.Remarks() {
		all = append(all, Warning{x.Code, x.Said.String()})
	}
	return all
}

// Remark is a [Warning] for every language.
type Remark struct {
	Code string
	Said study.Said
}

// Remarks are what [Record.Warnings] says.
func (r Record) Remarks() (all []Remark) {
	if t := r.Together; t != nil {
		if t.TauScale > 0 {
			all = append(all, r.fewStudies())
		}
		all = append(all, Remark{WarnSameGuests, study.Say("The interval takes it that other guests tasted each " +
			"time: nothing here can tell whether somebody came twice")})
	}
	if len(r.Apart) > 0 {
		all = append(all, Remark{WarnOtherScale, study.Say("Not counted here, since points of another scale cannot be "+
			"added: %s", strings.Join(r.Apart, "; "))})
	}
	return all
}

func (r Record) fewStudies() Remark {
	t, n := r.Together, r.digits()
	return Remark{WarnFewStudies, study.Say("So few studies hardly tell how much evenings differ. It is assumed "+
		"that they differ by about %s points (half-normal prior of that scale, a quarter of how far guests scatter); "+
		"without that the interval would be %s to %s", study.Figure(decimals(t.TauScale, n)),
		study.Figure(decimals(t.Wide.Lo, n)), study.Figure(decimals(t.Wide.Hi, n)))}
}

// digits are the decimals of what is said in points: one on scales of 50 points and more.
func (r Record) digits() int {
	if f := r.Studies[0]; f.To-f.From >= 50 {
		return 1
	}
	return 2
}

// Together is what two studies and more say together.
type Together struct {
	Guests     int
	Mean       float64 // scale points
	CI         stats.Interval
	Prediction stats.Interval // of the true mean difference of a further study; absent where it is not known
	// TauScale is that of the half-normal prior of how much studies differ, in scale points:
	// a quarter of the spread of the differences. 0 = there was no prior, see [fewStudies].
	TauScale float64
	Tau      float64 // standard deviation of the true differences between studies
	// Wide is the interval of Hartung and Knapp with its factor held at 1 or more: CI itself
	// where there is no prior.
	Wide stats.Interval
}

// recordLevel is that of all intervals of a record.
const recordLevel = 0.95

// mostByPrior is the largest number of studies that are combined with a prior of how much
// they differ: fewer than six tell too little of it themselves.
const mostByPrior = 5

// Records puts differences that were found into one record for each question, in the order in
// which the questions come first. A study that compared the same two the other way around
// is turned. Invented ratings stand apart from others. A question on which no study had
// decided has no record.
func Records(found []FoundDifference) []Record {
	var all []Record
	place := map[string]int{}
	for i, f := range found {
		key, turned := f.asks()
		at, known := place[key]
		if !known {
			at = len(all)
			place[key], all = at, append(all, Record{})
		}
		if r := &all[at]; len(r.Studies) > 0 && turned != (r.Studies[0].Samples[0] > r.Studies[0].Samples[1]) {
			f.Samples[0], f.Samples[1], f.Difference = f.Samples[1], f.Samples[0], -f.Difference
			f.Low, f.High = -f.High, -f.Low
		}
		all[at].Studies, all[at].Places = append(all[at].Studies, f), append(all[at].Places, i)
	}
	tellApart(all)
	kept := all[:0]
	for _, r := range all {
		if r.decided() {
			r.combine()
			kept = append(kept, r)
		}
	}
	return kept
}

// asks is the question of a study, the same whichever of two samples comes first.
func (f FoundDifference) asks() (key string, turned bool) {
	first, second := f.Samples[0], f.Samples[1]
	if turned = first > second; turned {
		first, second = second, first
	}
	invented := ""
	if f.Invented {
		invented = "invented"
	}
	return strings.Join([]string{string(f.Question), string(f.Contrast), strings.ToLower(strings.TrimSpace(f.Asked)),
		string(f.Scale), Points(f.From), Points(f.To), f.Alike, first, second, invented}, "\x00"), turned
}

// tellApart names in each record the studies that asked the same of the same two on another scale.
func tellApart(all []Record) {
	scaleless := func(f FoundDifference) string {
		f.Scale, f.From, f.To = "", 0, 0
		key, _ := f.asks()
		return key
	}
	for i := range all {
		for k, other := range all {
			if i == k || scaleless(all[i].Studies[0]) != scaleless(other.Studies[0]) {
				continue
			}
			for _, f := range other.Studies {
				all[i].Apart = append(all[i].Apart, f.Study)
			}
		}
	}
}

func (r Record) decided() bool {
	for _, f := range r.Studies {
		if f.Decides {
			return true
		}
	}
	return false
}

// combine fills the intervals and what all studies say together. A study whose guests all
// moved alike has no standard error and is left out of that. One that might have stopped early counts with its
// estimate and interval that allow for it: half of the interval over the quantile of t stands in for the standard
// error (an approximation of ours: the interval after looks is not even about its estimate).
func (r *Record) combine() {
	var studies []meta.Study
	squares, df, guests := 0., 0., 0
	for _, f := range r.Studies {
		n := float64(f.People)
		se := f.SD / math.Sqrt(n)
		t := dist.TQuantile((1+recordLevel)/2, n-1)
		ci := stats.Interval{Lo: f.Difference - t*se, Hi: f.Difference + t*se, Level: recordLevel}
		if f.Stopping != "" {
			ci.Lo, ci.Hi = f.Low, f.High
			se = (ci.Hi - ci.Lo) / (2 * t)
		}
		if f.SD > 0 {
			studies = append(studies, meta.Study{Estimate: f.Difference, Variance: se * se})
			squares, df, guests = squares+f.SD*f.SD*(n-1), df+n-1, guests+f.People
		} else {
			ci = stats.NoInterval(recordLevel)
		}
		r.Intervals = append(r.Intervals, ci)
	}
	if len(studies) < 2 {
		return
	}
	all, err := meta.Combine(studies, recordLevel)
	if err != nil {
		return // spreads beyond the range of numbers, which no scale has
	}
	t := Together{Guests: guests, Mean: all.REML.Estimate, CI: all.REML.Held.CI, Prediction: all.REML.PredictionHeld,
		Tau: math.Sqrt(all.REML.Tau2), Wide: all.REML.Held.CI}
	if len(studies) <= mostByPrior {
		t.TauScale = math.Sqrt(squares/df) / 4
		few, err := meta.Few(studies, t.TauScale, recordLevel)
		if err != nil {
			return
		}
		t.Mean, t.CI, t.Prediction, t.Tau = few.Mean, few.CI, few.Prediction, few.TauMean
	}
	r.Together = &t
}

// Evidence is ln of the evidence that the same two samples differ, over the studies whose plans counted it: that
// of independent studies multiplies (Ville's bound holds for the product, each factor being 1 on average where
// nothing differs). How many studies that are; 0 = none.
func (r Record) Evidence() (logE float64, studies int) {
	for _, f := range r.Studies {
		if f.Counted {
			logE, studies = logE+f.LogE, studies+1
		}
	}
	return logE, studies
}

// Answer is what a record says to its question.
type Answer string

// The answers of a record.
const (
	AnswerHolds   Answer = "holds"   // the difference is there, and is to be expected on another evening
	AnswerAverage Answer = "average" // it is there on average; another evening may turn out otherwise
	AnswerSmall   Answer = "small"   // whatever it is, it is smaller than what the house would act on
	AnswerOpen    Answer = "open"    // not known
)

// Answer reads the interval of all studies, or that of the only one: see [Answer].
func (r Record) Answer() Answer {
	ci, next, smallest := r.Intervals[0], stats.NoInterval(recordLevel), r.Smallest()
	if r.Together != nil {
		ci, next = r.Together.CI, r.Together.Prediction
	}
	within := smallest > 0 && ci.Lo > -smallest && ci.Hi < smallest
	switch {
	case ci.Absent():
		return AnswerOpen
	case within:
		return AnswerSmall
	case ci.Lo <= 0 && ci.Hi >= 0:
		return AnswerOpen
	case next.Absent() || next.Lo <= 0 && next.Hi >= 0:
		return AnswerAverage
	}
	return AnswerHolds
}

// Smallest is the difference that the house would act on: the largest that a study of the
// record had stated, 0 when none had.
func (r Record) Smallest() float64 {
	v := 0.
	for _, f := range r.Studies {
		v = max(v, f.Smallest)
	}
	return v
}
