package choice

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/optimize"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// WarnSingleTrials marks replicated tests without replicates.
const WarnSingleTrials = "no-replicates"

// Trials are one assessor's answers in a replicated difference test.
type Trials struct{ Correct, N int }

// ReplicatedResult holds the beta-binomial fit of a replicated difference test.
type ReplicatedResult struct {
	Protocol          Protocol
	Assessors, Trials int
	Correct           int
	PC                float64 // mean probability of a correct answer, maximum likelihood
	// Gamma in [0, 1) is the overdispersion: 0 when all assessors are alike
	// (binomial), near 1 when each is always right or always wrong.
	Gamma             float64
	PCSE, GammaSE     float64 // from the observed information; NaN when Gamma is at 0
	LogLik, LogLikBin float64 // beta-binomial; binomial (Gamma = 0)
	ChiSqGamma        float64 // likelihood ratio of Gamma = 0
	PGamma            float64 // half of the χ²(1) tail, as 0 is a boundary
	// ChiSqDifference tests guessing (PC = chance, Gamma = 0) against the fit;
	// PDifference is its tail under the boundary mixture ¼χ²(0) + ½χ²(1) + ¼χ²(2).
	ChiSqDifference, PDifference float64
	// PNaive is the exact binomial p that takes all answers as independent. It
	// tests "pure guessing by everybody" validly, but is no basis for an
	// interval or a similarity test when Gamma is above 0.
	PNaive   float64
	DPrime   float64 // of the mean probability
	Warnings []stats.Warning
}

// ReplicatedDiscrimination fits the beta-binomial model to assessors who each
// did several trials of a difference test. Every assessor has a probability
// of a correct answer, beta-distributed over assessors with mean PC and
// Gamma = 1/(a+b+1).
//
// Ennis & Bi (1998), J. Sens. Stud. 13, 389–412; Bi & Ennis (1999), ibid. 14,
// 347–368. Boundary mixtures: Self & Liang (1987), J. Am. Stat. Assoc. 82,
// 605–610. The mean is kept at or above chance. ISO 10399 allows replicated
// answers for a difference test, not for a similarity test.
func ReplicatedDiscrimination(trials []Trials, p Protocol) (ReplicatedResult, error) {
	if err := p.check(); err != nil {
		return ReplicatedResult{}, err
	}
	b, err := newBetaBinomial(trials, p.Chance())
	if err != nil {
		return ReplicatedResult{}, err
	}
	r := ReplicatedResult{Protocol: p, Assessors: len(trials), Trials: b.total, Correct: b.correct,
		PNaive: dist.BinomialSurvival(b.correct-1, b.total, p.Chance())}
	pooled := math.Max(float64(b.correct)/float64(b.total), b.chance)
	r.LogLikBin = b.logLik(pooled, 0)
	r.PC, r.Gamma, r.LogLik = pooled, 0, r.LogLikBin
	if b.replicated && pooled < 1 {
		b.maximise(&r)
	}
	if !b.replicated {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnSingleTrials,
			Text: "Every assessor answered once: differences between assessors cannot be seen."})
	}
	b.tests(&r)
	b.standardErrors(&r)
	r.DPrime, err = p.DPrime(math.Min(1, r.PC))
	return r, err
}

type betaBinomial struct {
	trials         []Trials
	chance         float64
	correct, total int
	replicated     bool
}

func newBetaBinomial(trials []Trials, chance float64) (betaBinomial, error) {
	b := betaBinomial{trials: trials, chance: chance}
	if len(trials) == 0 {
		return b, stats.ErrEmpty
	}
	for i, t := range trials {
		if t.N < 1 || t.Correct < 0 || t.Correct > t.N {
			return b, fmt.Errorf("assessor %d, %d of %d: %w", i+1, t.Correct, t.N, stats.ErrCounts)
		}
		b.correct += t.Correct
		b.total += t.N
		b.replicated = b.replicated || t.N > 1
	}
	return b, nil
}

// logLik is the log-likelihood without binomial coefficients, as sums of
// logarithms of rising factorials, which hold at gamma = 0 too.
func (b betaBinomial) logLik(mean, gamma float64) float64 {
	phi := gamma / (1 - gamma)
	l := 0.0
	for _, t := range b.trials {
		for j := range t.Correct {
			l += math.Log(mean + float64(j)*phi)
		}
		for j := range t.N - t.Correct {
			l += math.Log(1 - mean + float64(j)*phi)
		}
		for j := range t.N {
			l -= math.Log1p(float64(j) * phi)
		}
	}
	return l
}

// maximise searches mean in [chance, 1] and gamma in (0, 1) on transformed
// scales from several starts and keeps the best.
func (b betaBinomial) maximise(r *ReplicatedResult) {
	toMean := func(u float64) float64 { return b.chance + (1-b.chance)/(1+math.Exp(-u)) }
	toGamma := func(v float64) float64 { return 1 / (1 + math.Exp(-v)) }
	problem := optimize.Problem{Func: func(x []float64) float64 {
		l := b.logLik(toMean(x[0]), toGamma(x[1]))
		if math.IsNaN(l) || math.IsInf(l, 0) {
			return math.MaxFloat64
		}
		return -l
	}}
	for _, start := range [][]float64{{0, -2}, {-2, 0}, {1, 1}} {
		settings := &optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-11, Iterations: 25},
			MajorIterations: 1000}
		got, err := optimize.Minimize(problem, start, settings, &optimize.NelderMead{})
		if got == nil || err != nil && !errors.Is(err, optimize.ErrLinesearcherFailure) {
			continue
		}
		if -got.F > r.LogLik+1e-9 {
			r.LogLik, r.PC, r.Gamma = -got.F, toMean(got.X[0]), toGamma(got.X[1])
		}
	}
}

func (b betaBinomial) tests(r *ReplicatedResult) {
	r.ChiSqGamma = 2 * (r.LogLik - r.LogLikBin)
	r.PGamma = 1
	if r.ChiSqGamma > 0 {
		r.PGamma = dist.ChiSquaredSurvival(r.ChiSqGamma, 1) / 2
	}
	r.ChiSqDifference = math.Max(0, 2*(r.LogLik-b.logLik(b.chance, 0)))
	r.PDifference = 1
	if r.ChiSqDifference > 0 {
		// Both parameters lie on a boundary under guessing: a mixture of χ²(0),
		// χ²(1) and χ²(2) with weights ¼, ½, ¼, as their scores (Krawtchouk
		// polynomials of degree 1 and 2) are orthogonal.
		r.PDifference = dist.ChiSquaredSurvival(r.ChiSqDifference, 1)/2 +
			dist.ChiSquaredSurvival(r.ChiSqDifference, 2)/4
	}
	if !b.replicated {
		r.PDifference = r.PNaive
	}
}

// standardErrors inverts the observed information by central differences.
func (b betaBinomial) standardErrors(r *ReplicatedResult) {
	r.PCSE, r.GammaSE = math.NaN(), math.NaN()
	const h = 1e-4
	if r.Gamma == 0 {
		if r.PC > b.chance && r.PC < 1 {
			r.PCSE = math.Sqrt(r.PC * (1 - r.PC) / float64(b.total))
		}
		return
	}
	m, g := r.PC, r.Gamma
	if m-h < b.chance || m+h > 1 || g-h < 0 || g+h > 1 {
		return
	}
	f := b.logLik
	mm := (f(m+h, g) - 2*f(m, g) + f(m-h, g)) / (h * h)
	gg := (f(m, g+h) - 2*f(m, g) + f(m, g-h)) / (h * h)
	mg := (f(m+h, g+h) - f(m+h, g-h) - f(m-h, g+h) + f(m-h, g-h)) / (4 * h * h)
	det := mm*gg - mg*mg
	if !(det > 0 && mm < 0) {
		return
	}
	r.PCSE, r.GammaSE = math.Sqrt(-gg/det), math.Sqrt(-mm/det)
}
