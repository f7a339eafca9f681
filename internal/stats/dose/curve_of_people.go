package dose

import (
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// CurveOfPeople is [PsychometricCurve] of people who each answered at several concentrations:
// answers[i][j] is 1 when person i was right at concentration j, 0 when not, NaN when there
// is no answer. The estimates are those of the curve through all answers. Since the answers
// of one person go together where people differ, the standard errors are those of Liang &
// Zeger (1986), Biometrika 73:13, eq. 2.5, with the factor n/(n−1) for n people, and the
// interval takes Student's t with n−1 degrees of freedom (a choice of ours, as the sandwich
// is known to be small for few people). Deviance and its p take the answers as independent.
func CurveOfPeople(concentrations []float64, answers [][]float64, guess, level float64) (CurveResult, error) {
	points := make([]CurvePoint, len(concentrations))
	people := 0
	for i, row := range answers {
		if len(row) != len(concentrations) {
			return CurveResult{}, fmt.Errorf("person %d has %d answers to %d concentrations: %w", i+1, len(row),
				len(concentrations), ErrSeries)
		}
		said := false
		for j, v := range row {
			points[j].Concentration = concentrations[j]
			switch {
			case math.IsNaN(v):
				continue
			case v != 0 && v != 1:
				return CurveResult{}, fmt.Errorf("person %d, answer %d is %g: %w", i+1, j+1, v, ErrSeries)
			}
			said = true
			points[j].N++
			points[j].Correct += int(v)
		}
		if said {
			people++
		}
	}
	var answered []CurvePoint
	for _, p := range points {
		if p.N > 0 {
			answered = append(answered, p)
		}
	}
	r, err := PsychometricCurve(answered, guess, level)
	if err != nil || math.IsNaN(r.Slope) {
		return r, err
	}
	level = r.ThresholdCI.Level
	r.Warnings, r.ThresholdCI = without(r.Warnings, WarnSlopeUnclear), stats.NoInterval(level)
	if people < 2 {
		r.InterceptSE, r.SlopeSE, r.G, r.LogThresholdSE = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		return r, nil
	}
	f := curveFit{guess: guess}
	cov := f.ofPeople(r, concentrations, answers, f.covarianceAt(answered, r), people)
	r.limits(cov, dist.TQuantile((1+level)/2, float64(people-1)), level)
	return r, nil
}

// covarianceAt is the covariance of the estimates if all answers were independent.
func (f curveFit) covarianceAt(points []CurvePoint, r CurveResult) [3]float64 {
	f.points, f.x = points, make([]float64, len(points))
	for i, p := range points {
		f.x[i] = math.Log10(p.Concentration)
	}
	return f.covariance(r.Intercept, r.Slope)
}

// ofPeople is the covariance of the estimates by the scores of people: A⁻¹BA⁻¹·n/(n−1).
func (f curveFit) ofPeople(r CurveResult, c []float64, answers [][]float64, inverse [3]float64, n int) [3]float64 {
	var meat [3]float64
	for _, row := range answers {
		u, v := 0.0, 0.0
		for j, y := range row {
			x := math.Log10(c[j])
			p, d := f.rate(r.Intercept + r.Slope*x)
			if math.IsNaN(y) || p <= 0 || p >= 1 {
				continue
			}
			score := d * (y - p) / (p * (1 - p))
			u, v = u+score, v+score*x
		}
		meat[0], meat[1], meat[2] = meat[0]+u*u, meat[1]+u*v, meat[2]+v*v
	}
	a, b, d := inverse[0], inverse[1], inverse[2]
	k := float64(n) / float64(n-1)
	return [3]float64{
		k * (a*a*meat[0] + 2*a*b*meat[1] + b*b*meat[2]),
		k * (a*b*meat[0] + (a*d+b*b)*meat[1] + b*d*meat[2]),
		k * (b*b*meat[0] + 2*b*d*meat[1] + d*d*meat[2]),
	}
}

func without(all []stats.Warning, code string) (rest []stats.Warning) {
	for _, w := range all {
		if w.Code != code {
			rest = append(rest, w)
		}
	}
	return rest
}
