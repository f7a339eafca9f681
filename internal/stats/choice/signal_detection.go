package choice

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
)

// ANotA holds the estimates of an A–not A test.
type ANotAResult struct {
	HitRate, FalseAlarmRate float64 // share of "A" answers to A and to not-A samples
	DPrime, SE              float64 // NaN when a rate is 0 or 1
	CI                      stats.Interval
	Criterion               float64 // −(z(H)+z(F))/2; above 0: few "A" answers
	LogLinearDPrime         float64 // d′ from rates (x+½)/(n+1), always finite
	P                       float64 // Fisher's exact one-sided p of hits against false alarms
	Warnings                []stats.Warning
}

// WarnRateAtBound marks a rate of 0 or 1, where d′ is infinite.
const WarnRateAtBound = "rate-at-bound"

// ANotA estimates d′ from "A" answers: hits of nA servings of A, falseAlarms
// of nNotA servings of not-A. level 0 means 0.95.
//
// d′ = z(H) − z(F): Macmillan & Creelman (2005), Detection Theory, ch. 1–2.
// Variance H(1−H)/(nA·φ(z(H))²) + F(1−F)/(nNotA·φ(z(F))²): Gourevitch &
// Galanter (1967), Psychometrika 32, 25–33. Log-linear correction: Hautus
// (1995), Behav. Res. Methods 27, 46–51. The exact test of "more A answers to
// A" conditions on the margins (Fisher).
//
// At a rate of 0 or 1 d′, its error and the criterion are marked absent; the
// corrected estimate remains.
func ANotA(hits, nA, falseAlarms, nNotA int, level float64) (ANotAResult, error) {
	level, err := stats.LevelOr95(level)
	if err = errors.Join(err, checkTwoCounts(hits, nA, falseAlarms, nNotA)); err != nil {
		return ANotAResult{}, err
	}
	na, nn := float64(nA), float64(nNotA)
	h, f := float64(hits)/na, float64(falseAlarms)/nn
	z := dist.NormalQuantile
	r := ANotAResult{HitRate: h, FalseAlarmRate: f, P: moreInFirst(hits, nA, falseAlarms, nNotA),
		LogLinearDPrime: z((float64(hits)+.5)/(na+1)) - z((float64(falseAlarms)+.5)/(nn+1))}
	if h == 0 || h == 1 || f == 0 || f == 1 {
		nan := math.NaN()
		r.DPrime, r.SE, r.Criterion, r.CI = nan, nan, nan, stats.NoInterval(level)
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnRateAtBound,
			Text: "Nobody or everybody answered “A” to one kind of sample: the sensory distance is unbounded; only " +
				"the corrected estimate is given."})
		return r, nil
	}
	zh, zf := z(h), z(f)
	r.DPrime, r.Criterion = zh-zf, -(zh+zf)/2
	r.SE = math.Sqrt(probitVariance(h, na) + probitVariance(f, nn))
	r.CI = normalInterval(r.DPrime, r.SE, level)
	return r, nil
}

// probitVariance is the delta-method variance of z(p) for p from n answers.
func probitVariance(p, n float64) float64 {
	d := dist.NormalDensity(dist.NormalQuantile(p))
	return p * (1 - p) / (n * d * d)
}

func normalInterval(estimate, se, level float64) stats.Interval {
	z := dist.NormalQuantile((1 + level) / 2)
	return stats.Interval{Lo: estimate - z*se, Hi: estimate + z*se, Level: level}
}

func checkTwoCounts(x1, n1, x2, n2 int) error {
	if n1 == 0 || n2 == 0 {
		return stats.ErrEmpty
	}
	if x1 < 0 || x1 > n1 || x2 < 0 || x2 > n2 {
		return fmt.Errorf("%d of %d and %d of %d: %w", x1, n1, x2, n2, stats.ErrCounts)
	}
	return nil
}

// moreInFirst is Fisher's exact one-sided p: the hypergeometric probability of
// x1 or more of the successes falling into the first group.
func moreInFirst(x1, n1, x2, n2 int) float64 {
	m, n := x1+x2, n1+n2
	sum := 0.0
	for k := x1; k <= min(m, n1); k++ {
		if m-k > n2 {
			continue
		}
		sum += math.Exp(logChoose(n1, k) + logChoose(n2, m-k) - logChoose(n, m))
	}
	return math.Min(1, sum)
}

func logChoose(n, k int) float64 {
	a, _ := math.Lgamma(float64(n + 1))
	b, _ := math.Lgamma(float64(k + 1))
	c, _ := math.Lgamma(float64(n - k + 1))
	return a - b - c
}

// SameDifferentResult holds the estimates of a same–different test.
type SameDifferentResult struct {
	Tau, TauSE       float64 // criterion: pairs closer than Tau are called "same"
	DPrime, DPrimeSE float64 // NaN error at 0
	CI               stats.Interval
	LogLik           float64 // at the estimates, without binomial coefficients
	P                float64 // Fisher's exact one-sided p: "same" more often to same pairs
	Warnings         []stats.Warning
}

// SameDifferent estimates d′ and the criterion τ under the differencing rule:
// a pair is called "same" when its two perceptions differ by less than τ.
// sameSaidSame of nSame pairs of equal samples and differentSaidSame of
// nDifferent pairs of unlike ones were called "same". level 0 means 0.95.
//
// P(same|same) = 2Φ(τ/√2)−1, P(same|different) = Φ((τ−d′)/√2)−Φ((−τ−d′)/√2):
// Macmillan & Creelman (2005), ch. 9; ASTM E2139. Two rates fix two
// parameters, so the maximum likelihood has a closed form for τ and one root
// for d′; errors by the delta method, equal to the inverse information here. The interval
// holds every d′ that the likelihood ratio does not reject (profile likelihood; Cox &
// Hinkley 1974, Theoretical Statistics, ch. 9): near d′ = 0, where answers hardly change
// with d′, one from the standard error excludes 0 three times too often.
// When unlike pairs are called "same" at least as often as equal ones, d′ is 0
// with τ from all pairs and no standard error. When all or none of the equal
// pairs are called "same", τ is not finite and the estimates are absent.
func SameDifferent(sameSaidSame, nSame, differentSaidSame, nDifferent int, level float64) (SameDifferentResult, error) {
	level, err := stats.LevelOr95(level)
	if err = errors.Join(err, checkTwoCounts(sameSaidSame, nSame, differentSaidSame, nDifferent)); err != nil {
		return SameDifferentResult{}, err
	}
	c := sameDifferentCounts{float64(sameSaidSame), float64(nSame), float64(differentSaidSame), float64(nDifferent)}
	r := c.estimate(level)
	r.P = moreInFirst(sameSaidSame, nSame, differentSaidSame, nDifferent)
	return r, nil
}

type sameDifferentCounts struct{ same, nSame, different, nDifferent float64 }

func (c sameDifferentCounts) estimate(level float64) SameDifferentResult {
	nan := math.NaN()
	r := SameDifferentResult{nan, nan, nan, nan, stats.NoInterval(level), nan, nan, nil}
	p1, p2 := c.same/c.nSame, c.different/c.nDifferent
	pooled := (c.same + c.different) / (c.nSame + c.nDifferent)
	switch {
	case p1 <= p2 && pooled > 0 && pooled < 1:
		r.Tau, r.DPrime = sameCriterion(pooled), 0
		r.TauSE = sameCriterionSlope(r.Tau) * math.Sqrt(pooled*(1-pooled)/(c.nSame+c.nDifferent))
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnBelowChance,
			Text: "Unlike pairs were called “same” as often as equal ones: the sensory distance is set to 0 and " +
				"has no standard error"})
	case p1 == 0 || p1 == 1:
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnRateAtBound,
			Text: "All or none of the equal pairs were called “same”: the criterion has no finite estimate, so " +
				"neither has the sensory distance."})
		return r
	case p2 == 0:
		r.Tau, r.DPrime = sameCriterion(p1), math.Inf(1)
		r.TauSE = sameCriterionSlope(r.Tau) * math.Sqrt(p1*(1-p1)/c.nSame)
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnRateAtBound,
			Text: "No unlike pair was called “same”: the sensory distance is unbounded."})
	default:
		r.Tau = sameCriterion(p1)
		r.DPrime = sameDistance(r.Tau, p2)
		c.errors(&r, p1, p2)
	}
	r.LogLik = c.logLik(r.Tau, r.DPrime)
	if !math.IsInf(r.DPrime, 1) {
		r.CI = c.profileInterval(r, level)
	}
	return r
}

// errors fills the delta-method standard errors at an inner maximum.
func (c sameDifferentCounts) errors(r *SameDifferentResult, p1, p2 float64) {
	r.TauSE = sameCriterionSlope(r.Tau) * math.Sqrt(p1*(1-p1)/c.nSame)
	up, down := dist.NormalDensity((r.Tau-r.DPrime)/math.Sqrt2), dist.NormalDensity((-r.Tau-r.DPrime)/math.Sqrt2)
	byTau, byD := (up+down)/math.Sqrt2, (down-up)/math.Sqrt2
	variance := (p2*(1-p2)/c.nDifferent + byTau*byTau*r.TauSE*r.TauSE) / (byD * byD)
	r.DPrimeSE = math.Sqrt(variance)
}

// sameCriterion solves 2Φ(τ/√2)−1 = p.
func sameCriterion(p float64) float64 {
	return -math.Sqrt2 * dist.NormalQuantile((1-p)/2)
}

// sameCriterionSlope is dτ/dp of [sameCriterion].
func sameCriterionSlope(tau float64) float64 {
	return 1 / (math.Sqrt2 * dist.NormalDensity(tau/math.Sqrt2))
}

func saidSame(tau, d float64) float64 {
	return dist.NormalCDF((tau-d)/math.Sqrt2) - dist.NormalCDF((-tau-d)/math.Sqrt2)
}

// sameDistance solves saidSame(tau, d) = p for 0 < p < saidSame(tau, 0).
func sameDistance(tau, p float64) float64 {
	lo, hi := 0.0, tau+maxDPrime
	for range 200 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if saidSame(tau, mid) > p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

func (c sameDifferentCounts) logLik(tau, d float64) float64 {
	p1, p2 := saidSame(tau, 0), 0.0
	if !math.IsInf(d, 1) {
		p2 = saidSame(tau, d)
	}
	return numeric.XLogY(c.same, p1) + numeric.XLogY(c.nSame-c.same, 1-p1) +
		numeric.XLogY(c.different, p2) + numeric.XLogY(c.nDifferent-c.different, 1-p2)
}
