package analysis

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// worstCondition is the condition number beyond which samples and positions
// cannot be told apart: about half the digits of a float64 would be lost.
const worstCondition = 1e8

// checkPosition tests whether ratings of an attribute differ by position, with
// assessors and samples allowed for. It is the extra-sum-of-squares F test of
// the additive model rating = assessor + sample + position (Searle 1971,
// Linear Models, sect. 3.6), computed on columns centred within assessors
// (Frisch & Waugh 1933, Econometrica 1:387). What cannot be tested is NaN.
func (p *panel) checkPosition(s *study.Study, attribute study.AttributeID) Check {
	nan := math.NaN()
	check := Check{Method: CheckPosition, Title: "all positions alike, samples and assessors allowed for",
		Estimate: nan, CI: stats.Interval{Lo: nan, Hi: nan, Level: s.Plan.Level()},
		Statistic: nan, DF: nan, DF2: nan, P: nan}
	m := p.additiveModel(s, attribute)
	df2 := len(m.y) - m.assessors - m.samples - m.positions
	if m.positions < 1 || df2 < 1 {
		return check
	}
	with, ok := residualSS(m.y, m.columns)
	without, okToo := residualSS(m.y, m.columns[:m.samples])
	if !ok || !okToo || with <= 0 {
		return check
	}
	check.DF, check.DF2 = float64(m.positions), float64(df2)
	check.Statistic = max(0, without-with) / check.DF / (with / check.DF2)
	check.P = distuv.F{D1: check.DF, D2: check.DF2}.Survival(check.Statistic)
	return check
}

// additive is the centred model: columns of sample indicators, then of position
// indicators, each without its first level.
type additive struct {
	y                             []float64
	columns                       [][]float64
	assessors, samples, positions int // assessors with ratings; columns of each kind
}

func (p *panel) additiveModel(s *study.Study, attribute study.AttributeID) additive {
	var m additive
	samples, levels := p.ratedOn(s, attribute)
	m.samples, m.positions = len(samples)-1, len(levels)-1
	m.columns = make([][]float64, max(0, m.samples)+max(0, m.positions))
	for i := range p.assessors {
		start := len(m.y)
		for k, x := range samples {
			for _, v := range p.cells[cell{attribute, i, x}] {
				m.y = append(m.y, v.value)
				at, _ := slices.BinarySearch(levels, v.position)
				for j := range m.columns {
					isSample, isPosition := j == k-1, j-m.samples == at-1 && at > 0
					m.columns[j] = append(m.columns[j], indicator(isSample || isPosition))
				}
			}
		}
		if len(m.y) == start {
			continue
		}
		m.assessors++
		centre(m.y[start:])
		for _, c := range m.columns {
			centre(c[start:])
		}
	}
	return m
}

// ratedOn lists the samples rated on an attribute, in the order of the study,
// and the positions at which they were, sorted.
func (p *panel) ratedOn(s *study.Study, attribute study.AttributeID) (samples []study.SampleID, positions []int) {
	for _, x := range s.Samples {
		rated := false
		for i := range p.assessors {
			for _, v := range p.cells[cell{attribute, i, x.ID}] {
				rated = true
				if at, seen := slices.BinarySearch(positions, v.position); !seen {
					positions = slices.Insert(positions, at, v.position)
				}
			}
		}
		if rated {
			samples = append(samples, x.ID)
		}
	}
	return samples, positions
}

func indicator(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

func centre(x []float64) {
	m := stats.Mean(x)
	for i := range x {
		x[i] -= m
	}
}

// residualSS is the residual sum of squares of y on columns by QR; false when
// the columns cannot be told apart.
func residualSS(y []float64, columns [][]float64) (float64, bool) {
	n, k := len(y), len(columns)
	if k == 0 {
		v := mat.NewVecDense(n, y)
		return mat.Dot(v, v), true
	}
	if n < k {
		return math.NaN(), false
	}
	x := mat.NewDense(n, k, nil)
	for j, c := range columns {
		x.SetCol(j, c)
	}
	var qr mat.QR
	qr.Factorize(x)
	if !(qr.Cond() < worstCondition) {
		return math.NaN(), false
	}
	target := mat.NewVecDense(n, y)
	var beta, fitted mat.VecDense
	if err := qr.SolveVecTo(&beta, false, target); err != nil {
		return math.NaN(), false
	}
	fitted.MulVec(x, &beta)
	fitted.SubVec(target, &fitted)
	return mat.Dot(&fitted, &fitted), true
}
