package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// Codes of the warnings on the way from blind to expected.
const (
	WarnNothingPromised  = "expectation-equals-taste"
	WarnNamedBeforeBlind = "name-seen-before-blind"
)

// Way is how far a name drew the ratings of a dish from where they are when the dish is
// served blind to what was expected of the name: see [dose.ExpectedAndInformed]. Whoever
// said what they expect and rated the dish both blind and under the name counts. It is
// exploratory, two-sided and not adjusted.
type Way struct {
	Sample    study.SampleID // the dish under the name
	Twin      study.SampleID // the same dish without a name
	Attribute study.AttributeID
	// Of them all, what they expected, rated blind and under the name, in scale points; the
	// share of the way and its confidence set. NaN where nobody counts.
	dose.AssimilationResult
	TooFew   bool // no verdict is given
	Excluded []Exclusion
	Warnings []Warning
}

// ReasonNotAllThree is why an assessor is left out of a [Way].
const ReasonNotAllThree = "did not say what they expect and taste the dish both blind and under its name"

// ways finds the way that each name went, on every attribute of which people said what
// they expect, where its dish is served blind too.
func (e *expected) ways(s *study.Study) ([]Way, error) {
	var all []Way
	for _, x := range s.Samples {
		blind, served := BlindTwin(s, x)
		if !served {
			continue
		}
		for _, a := range s.Attributes {
			if !e.asked[a.ID] {
				continue
			}
			w, err := e.way(s, x, blind, a)
			if err != nil {
				return nil, fmt.Errorf("how far %s went on %s: %w", x.ID, a.ID, err)
			}
			all = append(all, w)
		}
	}
	return all, nil
}

// three is what one person expected, and their mean ratings of the dish.
type three struct{ expected, blind, informed float64 }

func (e *expected) way(s *study.Study, x, blind study.Sample, a study.Attribute) (Way, error) {
	w := Way{Sample: x.ID, Twin: blind.ID, Attribute: a.ID, AssimilationResult: noWay(s.Plan.Level())}
	left := newLeftOut(nil)
	var each []three
	seen, known := 0, true
	for _, who := range e.people {
		one, some, all := e.threeOf(x, blind, a, who)
		switch {
		case all:
			each = append(each, one)
			before, ok := e.namedBefore(s, blind, a, who)
			known = known && ok
			if before {
				seen++
			}
		case some && !e.toSay(who):
			left.add(ReasonNotAsked, who)
		case some && s.Serving.Design == study.Some:
			left.add(ReasonByDesign, who)
		case some:
			left.add(ReasonNotAllThree, who)
		}
	}
	w.N, w.Excluded = len(each), left.exclusions()
	need := Fewest(s.Plan.Alpha)
	if w.TooFew = w.N < need; w.TooFew {
		w.warn(warnFewPairs(w.N, need, "said what they expect and tasted both"))
	}
	if len(w.Excluded) > 0 {
		w.warn(warnIncomplete(w.Excluded))
	}
	if known && seen > 0 {
		w.warn(warnNamedBeforeBlind(seen, w.N))
	}
	if w.N < 2 {
		return w, nil
	}
	return w, w.measure(each, s.Plan.Level())
}

// noWay is that of nobody.
func noWay(level float64) dose.AssimilationResult {
	nan := math.NaN()
	m := dose.MeanOfPeople{Value: nan, SE: nan, DF: nan, T: nan, P: nan, CI: stats.NoInterval(level)}
	return dose.AssimilationResult{Expected: m, Blind: m, Informed: m, Gap: m, Moved: m, Left: m,
		Verdict: dose.WayNotEstimable, Fieller: dose.RatioResult{Ratio: nan, G: nan, Type: dose.WholeLine,
			CI: stats.NoInterval(level), Excluded: stats.NoInterval(level)}}
}

// threeOf is what an assessor said; some where they are to be counted as left out.
func (e *expected) threeOf(x, blind study.Sample, a study.Attribute, who string) (one three, some, all bool) {
	before, okBefore := e.values[expectationKey{who, x.Name, a.ID}]
	i, tasted := e.index[who]
	if !tasted {
		return one, okBefore, false
	}
	informed, _, okInformed := e.column(a.ID, x.ID).mean(i)
	alone, _, okBlind := e.column(a.ID, blind.ID).mean(i)
	return three{before, alone, informed}, okBefore || okInformed || okBlind, okBefore && okInformed && okBlind
}

// namedBefore reports whether an assessor had the dish of a blind sample under a name
// before the last time that they tasted it blind; not known where positions are missing.
func (e *expected) namedBefore(s *study.Study, blind study.Sample, a study.Attribute, who string) (yes, known bool) {
	last, first := 0, math.MaxInt
	for _, x := range s.Samples {
		if x.Dish != blind.Dish {
			continue
		}
		for _, v := range e.column(a.ID, x.ID)[e.index[who]] {
			switch {
			case v.position == 0:
				return false, false
			case x.Name == "":
				last = max(last, v.position)
			default:
				first = min(first, v.position)
			}
		}
	}
	return first < last, true
}

func (w *Way) measure(each []three, level float64) (err error) {
	n := len(each)
	said, blind, informed := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, x := range each {
		said[i], blind[i], informed[i] = x.expected, x.blind, x.informed
	}
	if w.AssimilationResult, err = dose.ExpectedAndInformed(said, blind, informed, level); err != nil {
		return err
	}
	if w.Fieller.Type != dose.Bounded && !w.TooFew {
		w.warn(warnNothingPromised(w.Gap))
	}
	return nil
}

func (w *Way) warn(x Warning) {
	if !slices.Contains(w.Warnings, x) {
		w.Warnings = append(w.Warnings, x)
	}
}

func warnNothingPromised(gap dose.MeanOfPeople) Warning {
	if gap.SE == 0 {
		return Warning{WarnNothingPromised, "everybody expected what they then tasted blind: no share of the way can " +
			"be named"}
	}
	return Warning{WarnNothingPromised, fmt.Sprintf("what was expected and what was tasted blind lie %s standard "+
		"errors apart, too few to say how far the name drew the rating: no share of the way can be named. It "+
		"takes about four or five; more people bring it there only if the name promises something else than the "+
		"dish gives", decimals(math.Abs(gap.T), 1))}
}

func warnNamedBeforeBlind(seen, n int) Warning {
	return Warning{WarnNamedBeforeBlind, fmt.Sprintf("%d of %d had the dish under its name before they tasted it "+
		"blind, and may have known it again: blind ratings that the name reached already make its pull look "+
		"smaller. Next time serve the blind ones first", seen, n)}
}
