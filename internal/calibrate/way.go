package calibrate

import (
	"fmt"
	"math"
	"math/rand/v2"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// The panel of a name that is read, and tasted blind and under it, in hundredths of the scale:
// a promise of 0.8 of the error of a rating, as that of a person differs.
const (
	wayLevel, wayLevelSD = 50, 8
	wayGap, wayGapSD     = 6.4, 6.4
	wayErrorSD           = 8
)

// wayShares are the shares of the way that names go, one study after the other.
var wayShares = [...]float64{0, 0.5, 1}

// promised is the first sample whose name is read and whose dish is served blind too, where
// everybody rates on a line.
func promised(s *study.Study) (named, blind study.Sample, ok bool) {
	a, _ := s.Attribute(s.Plan.Attribute)
	if !s.Serving.Expectation || a.Scale.Kind != study.Line || s.Serving.Design != study.All ||
		s.Serving.Replicates > 1 {
		return named, blind, false
	}
	for _, x := range s.Samples {
		if twin, served := analysis.BlindTwin(s, x); served {
			return x, twin, true
		}
	}
	return named, blind, false
}

// countWays plays a study once more with a name that promises more than the dish gives and
// goes a share of that way, and counts whether that share is held, and what is claimed of a
// name that goes none of it.
func (t tally) countWays(s *study.Study, plan *design.Plan, number, seed uint64) error {
	named, blind, ok := promised(s)
	if !ok {
		return nil
	}
	a, _ := s.Attribute(s.Plan.Attribute)
	share := wayShares[number%uint64(len(wayShares))]
	from, unit := a.Scale.Min(), (a.Scale.Max()-a.Scale.Min())/100
	on := func(v float64) float64 { return min(a.Scale.Max(), max(from, from+unit*v)) }
	random := rand.New(rand.NewPCG(seed, 14))
	var answers []analysis.Rating
	var said []analysis.Expectation
	for i := range plan.Assessors {
		who := analysis.AssessorLabel(i)
		level, gap := wayLevel+wayLevelSD*random.NormFloat64(), wayGap+wayGapSD*random.NormFloat64()
		for _, v := range plan.Assessor(i) {
			x, at := plan.Samples[v.Sample], level+wayErrorSD*random.NormFloat64()
			switch {
			case v.Role == design.Expected && x == named.ID:
				said = append(said, analysis.Expectation{Assessor: who, Name: named.Name, Attribute: a.ID,
					Value: on(at + gap)})
				continue
			case v.Role != design.Rated:
				continue
			case x == named.ID:
				at += share * gap
			}
			answers = append(answers, analysis.Rating{Assessor: who, Position: int(v.Position), Code: v.Code, Sample: x,
				Attribute: a.ID, Value: on(at)})
		}
	}
	r, err := analysis.Analyse(s, answers, analysis.Options{Expected: said})
	if err != nil {
		return err
	}
	for _, w := range r.Ways {
		if w.Sample != named.ID || w.Twin != blind.ID || w.Attribute != a.ID {
			continue
		}
		set := analysis.Fieller{Shape: w.Fieller.Type, CI: w.Fieller.CI, Excluded: w.Fieller.Excluded}
		t.count(OfWay, set.Holds(share))
		t.count(OfNoWay, w.Fieller.Type != dose.Bounded)
		if share == 0 {
			t.count(OfWayFound, w.Fieller.Type == dose.Bounded && (w.Fieller.CI.Lo > 0 || w.Fieller.CI.Hi < 0))
		}
		return nil
	}
	return fmt.Errorf("nothing is told of how far %s went", named.ID)
}

// noWay is how often what is expected is not told from what is tasted blind: as often as a
// paired t test of the two finds nothing.
func noWay(s *study.Study) float64 {
	n := s.Panel.Assessors
	if s.Serving.AskHalf {
		n /= 2
	}
	variance := float64(wayGapSD*wayGapSD) + 2*wayErrorSD*wayErrorSD
	p, err := size.PowerT(n, size.TDesign{Effect: wayGap / math.Sqrt(variance), Alpha: s.Plan.Alpha})
	if err != nil {
		return 0
	}
	return 1 - p.Power
}
