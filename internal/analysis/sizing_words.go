package analysis

import (
	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats/dist"
	"cloche/internal/study"
)

// tickDesign is Cochran's test of one word of a list of so many, which so much larger a
// share of people ticks for one sample than for another.
//
// The two shares lie around a half and those of the other samples on it, and of one person
// no tick says anything of the next: of all truths with this difference nearly the hardest
// to find. The power is that of the noncentral chi-squared distribution on k − 1 degrees of
// freedom, λ being Cochran's statistic at the expected counts,
//
//	λ = n·k(k−1)·Σ(πⱼ − π̄)² / E(kL − L²), L the samples for which a person ticks the word,
//
// which for two samples is McNemar's n·d²/(½ + d²/2). Alpha is shared among the words
// (Bonferroni), which is where Holm's method begins.
func tickDesign(samples, words int, more, alpha float64) shareDesign {
	return shareDesign{samples, more, alpha / float64(words), 0, 1, func(k, more float64) float64 {
		apart := more * more / 2
		return k * (k - 1) * apart / (k*(k-1)/4 + apart)
	}}
}

// tickedTogether is the power of the test of all words at once with n people, where one word
// is ticked by so much more and the others tell nothing: the sum of Cochran's statistics of
// words that are ticked independently is noncentral chi-squared on their degrees of freedom
// together, with the λ of the one word.
func tickedTogether(samples, words int, more, alpha float64, n int) float64 {
	one := tickDesign(samples, words, more, alpha)
	df := float64(words * (samples - 1))
	limit := distuv.ChiSquared{K: df}.Quantile(1 - alpha)
	return dist.NoncentralChi2Survival(limit, df, float64(n)*one.perPerson(float64(samples), min(more, one.most)))
}

// byTicks sizes questions about the words of a list.
var byTicks = &ChoiceSizing{
	ticked: true,
	Who:    "more who tick a word for one sample than for another",
	Label:  "Share more who tick a word for one sample than for another",
	Hint: "The smallest share that you would act on, as in 0.3: of ten people, three more tick it for one than " +
		"for the other.",
	share: func(q Sizing) float64 { return q.Share },
	assumptions: []study.Said{independentAnswers,
		study.Say("half of the people tick the word on the whole, which is the hardest to find; words that few " +
			"or nearly all tick take fewer"),
		study.Say("single pairs of samples take more people where there are three or more, for they are adjusted " +
			"for their number")},
}

// Of words to tick when nobody says how many samples and words there are.
const (
	usualTicked = 3
	usualWords  = 10
)

func newTickSize(q Sizing, c ChoiceSizing) shareSize {
	samples, words := q.Samples, q.Words
	if samples < 2 {
		samples = usualTicked
	}
	if words < 1 {
		words = usualWords
	}
	d := tickDesign(samples, words, q.Share, q.Alpha)
	return shareSize{q, c, d, study.Say("%d words are ticked for %d samples, and the level is shared among the "+
		"words: %s each", words, samples, shortest(d.level))}
}
