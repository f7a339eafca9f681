package analysis

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// WarnAboutRightSize is the code of the remark on what a panel tells of answers about right.
const WarnAboutRightSize = "about-right-at-this-size"

// SizedAboutRight is what the size of a panel needs to know of answers about right. The zero
// value is of a study without them.
type SizedAboutRight struct {
	Length float64 // of the scale of liking
	Each   Part    // of the panel: who answers of one sample
	Moves  bool    // the same people answer of two samples
}

func sizedAboutRight(s *study.Study) SizedAboutRight {
	liking, ok := s.Attribute(s.Plan.Liking)
	if !ok || len(s.AboutRights()) == 0 {
		return SizedAboutRight{}
	}
	r := SizedAboutRight{Length: liking.Scale.Max() - liking.Scale.Min(), Each: Part{1, 1}, Moves: true}
	switch s.Serving.Design {
	case study.Some:
		r.Each, r.Moves = Part{s.Serving.PerAssessor, len(s.Samples)}, false
	case study.One:
		r.Each, r.Moves = Part{1, len(s.Samples)}, false
	}
	return r
}

// ofOneDish sizes a panel by the drop in liking: of ten guests three are supposed to say too
// much, one too little and six about right, and the three are held against the six, as two
// groups as large as their harmonic mean.
func (q *Sizing) ofOneDish(s *study.Study) {
	q.AboutRight = sizedAboutRight(s)
	q.AboutRight.Moves = false
	q.Length = q.AboutRight.Length
	q.Spread = RuleOfThumb(q.Test, q.Length)
	q.Each, q.OneDish = Part{4, 10}, 2 // 2·0.3·0.6/(0.3 + 0.6)
	if s.Plan.Adjust == study.NoAdjustment {
		q.OneDish = 1
	}
}

// What the remark supposes: a fifth of the people say too little or too much, from which on
// one acts, and three fifths about right; of two samples four of ten people move, three of
// them one way (choices of ours).
const (
	sharesRight = 0.6
	shareMoving = 0.4
	oneWay      = 0.75
)

// remarkAboutRight says how well a share is known, which drop in liking is found, and how
// surely it is found that people move.
func (z *Size) remarkAboutRight() {
	q := z.Request
	if q.AboutRight == (SizedAboutRight{}) || q.Assessors == 0 {
		return
	}
	n := q.AboutRight.Each.comparisons(q.Assessors)
	few := int(math.Round(ShareToAct * float64(n)))
	right := int(math.Round(sharesRight * float64(n)))
	if few < 2 || right < 2 {
		z.warn(WarnAboutRightSize, study.Say("about right: of %d people who taste a sample too few say too "+
			"little or too much to tell anything of them", n))
		return
	}
	ci := dist.ClopperPearson(few, n, 1-q.Alpha)
	said := study.Say("about right: when %d of the %d people who taste a sample say too little, or too much, "+
		"that is known to be %s to %s of all guests", few, n, InPercent(ci.Lo), InPercent(ci.Hi))
	if q.OneDish == 0 { // of which this is the size
		sd := RatingNoise * q.AboutRight.Length
		said = together(said, study.Say("that they like it less than %d who say about right is found with a "+
			"chance of %s from %s points on, if ratings of liking scatter by %s (a rule of thumb)", right,
			InPercent(q.Power),
			Points(dropFound(few, right, q)*sd), Points(sd)))
	}
	if q.AboutRight.Moves {
		said = together(said, study.Say("that people move from one answer to the next between two samples, 3 of "+
			"ten one way and 1 of ten the other, is found with a chance of %s", InPercent(powerOfMoves(n, q.Alpha))))
	}
	z.warn(WarnAboutRightSize, said)
}

// dropFound is the smallest drop that is found with the power wished for between groups of a
// and b people, in standard deviations of a rating: of equal groups as large as their
// harmonic mean, by the noncentral t distribution, with as much caution as the test where one
// of them is small; NaN for none.
func dropFound(a, b int, q Sizing) float64 {
	each := 2 * a * b / (a + b)
	d, err := size.DetectableEffectT(each, q.Power, size.TDesign{Independent: true, Alpha: q.Alpha,
		Smaller: min(1, float64(min(a, b))/float64(each)), Few: fewInGroup})
	return orNaN(d, err)
}

// powerOfMoves is the chance that the exact test of marginal homogeneity finds that people
// move between two answers next to each other: summed over how many move, and which way.
func powerOfMoves(n int, alpha float64) (power float64) {
	for moved := 1; moved <= n; moved++ {
		these := dist.BinomialPMF(moved, n, shareMoving)
		for up := 0; up <= moved; up++ {
			if dist.BinomialPValue(up, moved, 0.5, stats.TwoSided) < alpha {
				power += these * dist.BinomialPMF(up, moved, oneWay)
			}
		}
	}
	return power
}
