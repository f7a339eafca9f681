package choice

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// similarityAdvice is the number of assessors below which a similarity test by
// a forced choice says little: ISO 5495 and its national editions ask for at
// least 30.
const similarityAdvice = 30

// DiscriminationOptions asks for more than the defaults.
type DiscriminationOptions struct {
	Level float64 // of the intervals; 0 means 0.95
	// SimilarityPd is the share of true discriminators still called similar,
	// in (0, 1). 0 leaves the similarity test out.
	SimilarityPd float64
}

// DiscriminationResult holds a forced-choice difference test.
type DiscriminationResult struct {
	Protocol   Protocol
	Correct, N int
	Chance     float64
	PC         float64        // proportion correct
	PCCI       stats.Interval // Clopper–Pearson

	PDifference float64 // P(X ≥ Correct) under pure guessing, exact
	// PSimilarity is P(X ≤ Correct) when the share SimilarityPd discriminates,
	// exact; small values say "similar". NaN when not asked for.
	PSimilarity  float64
	SimilarityPd float64

	Discriminators   float64        // (PC − chance)/(1 − chance), 0 below chance
	DiscriminatorsCI stats.Interval // mapped Clopper–Pearson limits
	DPrime           float64        // +Inf when all are correct
	DPrimeSE         float64        // delta method; NaN at 0 and at +Inf
	DPrimeCI         stats.Interval // mapped Clopper–Pearson limits
	Warnings         []stats.Warning
}

// Discrimination tests correct answers out of n independent ones against
// guessing, and estimates the share of discriminators and d′.
//
// Exact binomial tests: ISO 4120, ISO 10399, ISO 5495 (one-sided), ASTM E1885.
// Discriminators by Abbott's formula (pd in ISO 4120). d′ by the inverse
// psychometric function with variance by the delta method, PC(1−PC)/(n·PC′²)
// (Ennis 1993; Bi, Ennis & O'Mahony 1997; ASTM E2262). Both intervals map the
// exact limits of the proportion, so they keep its coverage; limits below
// chance become 0.
//
// The answers must be independent: for several trials an assessor use
// [ReplicatedDiscrimination].
func Discrimination(correct, n int, p Protocol, o DiscriminationOptions) (DiscriminationResult, error) {
	level, err := stats.LevelOr95(o.Level)
	if err = errors.Join(err, checkDiscrimination(correct, n, p, o.SimilarityPd)); err != nil {
		return DiscriminationResult{}, err
	}
	chance := p.Chance()
	r := DiscriminationResult{Protocol: p, Correct: correct, N: n, Chance: chance,
		PC: float64(correct) / float64(n), PCCI: dist.ClopperPearson(correct, n, level),
		PDifference: dist.BinomialSurvival(correct-1, n, chance), PSimilarity: math.NaN(), SimilarityPd: o.SimilarityPd}
	r.Discriminators = aboveChance(r.PC, chance)
	r.DiscriminatorsCI = stats.Interval{Lo: aboveChance(r.PCCI.Lo, chance), Hi: aboveChance(r.PCCI.Hi, chance),
		Level: level}
	if o.SimilarityPd > 0 {
		r.PSimilarity = dist.BinomialCDF(correct, n, chance+o.SimilarityPd*(1-chance))
		if n < similarityAdvice {
			r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnFewAssessors,
				Text: fmt.Sprintf("A similarity test with %d answers says little; plan at least %d.", n,
					similarityAdvice)})
		}
	}
	return r, r.addDPrime()
}

func (r *DiscriminationResult) addDPrime() error {
	var err error
	if r.DPrime, err = r.Protocol.DPrime(r.PC); err != nil {
		return err
	}
	lo, errLo := r.Protocol.DPrime(r.PCCI.Lo)
	hi, errHi := r.Protocol.DPrime(r.PCCI.Hi)
	r.DPrimeCI = stats.Interval{Lo: lo, Hi: hi, Level: r.PCCI.Level}
	r.DPrimeSE = math.NaN()
	switch {
	case math.IsInf(r.DPrime, 1):
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnAllCorrect,
			Text: "All answers are correct: the sensory distance has no upper bound and no standard error"})
	case r.DPrime == 0:
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnBelowChance,
			Text: "No more correct answers than guessing gives: the sensory distance is set to 0 and has no " +
				"standard error"})
	default:
		r.DPrimeSE = math.Sqrt(r.PC*(1-r.PC)/float64(r.N)) / r.Protocol.slope(r.DPrime)
	}
	return errors.Join(errLo, errHi)
}

func checkDiscrimination(correct, n int, p Protocol, pd float64) error {
	if err := p.check(); err != nil {
		return err
	}
	if n == 0 {
		return stats.ErrEmpty
	}
	if n < 0 || correct < 0 || correct > n {
		return fmt.Errorf("%d correct of %d: %w", correct, n, stats.ErrCounts)
	}
	if !(pd >= 0 && pd < 1) {
		return fmt.Errorf("share of discriminators %g: it must lie in [0, 1)", pd)
	}
	return nil
}

// aboveChance maps a proportion correct to the share of discriminators.
func aboveChance(pc, chance float64) float64 {
	return math.Max(0, (pc-chance)/(1-chance))
}
