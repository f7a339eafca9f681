package analysis

import (
	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// rankingDesign is Friedman's test of an order in which a share of people put the best
// sample before the worst, and the others lie midway between the two: of all truths in
// which some pair has this share, the hardest to find.
//
// People see each sample at its place and a normal error of their own (Thurstone 1927,
// case V), so that a share of Φ(d/√2) puts before another what lies d ahead of it. The
// power is that of the noncentral chi-squared distribution on k − 1 degrees of freedom
// with λ = 12·n·Σ(E(Rⱼ) − (k+1)/2)²/(k(k+1)), Rⱼ the place of a sample: Friedman's
// statistic at the expected places.
func rankingDesign(samples int, share, alpha float64) shareDesign {
	return shareDesign{samples, share, alpha, evenShare, 1 - 1e-9, func(k, share float64) float64 {
		midway := dist.NormalCDF(dist.NormalQuantile(share) / 2)
		off := share - evenShare + (k-2)*(midway-evenShare) // of the best from the middle place, and of the worst
		return 12 * 2 * off * off / (k * (k + 1))
	}}
}

// inOrder sizes questions about the order of several samples.
var inOrder = &ChoiceSizing{
	Chance: evenShare, Above: evenShare, ranked: true,
	Who:   "who put the best before the worst",
	Label: "Share who put the best before the worst",
	Hint:  "The smallest share that you would act on, as in 0.7: 0.5 is no order, 1 is everybody.",
	share: func(q Sizing) float64 { return q.Share },
	assumptions: []study.Said{independentAnswers,
		study.Say("the other samples lie midway between the best and the worst, which is the hardest to find"),
		study.Say("by Friedman’s test, and fewer people do where an order is expected; single pairs take more " +
			"people, for they are adjusted for their number")},
}

func newRankingSize(q Sizing, c ChoiceSizing) shareSize {
	samples := q.samples()
	return shareSize{q, c, rankingDesign(samples, q.Share, q.Alpha),
		study.Say("%d samples are put in an order", samples)}
}

// usualRanked is how many samples are put in an order when nobody says.
const usualRanked = 4

func (q Sizing) samples() int {
	if q.Samples == 0 {
		return usualRanked
	}
	return q.Samples
}
