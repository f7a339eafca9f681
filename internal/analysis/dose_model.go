package analysis

import (
	"errors"
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dose"
	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
	"cloche/internal/study"
)

const (
	amountCovariate = "amount"
	laidCovariate   = "laid"
)

// slopesFit is a mixed model of ratings over amounts, where not everybody rated every one.
type slopesFit struct {
	slope, shift  dose.MeanOfPeople
	level         float64
	levelAndSlope dose.Estimates // the level at the centre in place of A
	shiftAndSlope dose.Estimates
}

// fitSlopes fits
//
//	rating = level + slope·(amount − centre) + shift·laid + assessor + error
//
// in which each assessor has a level and, if the ratings bear it, a slope of their own.
// If not, they have one slope, and the finding says so. Nil where no model can be fitted.
func (f *Finding) fitSlopes(level float64, laid bool) (*slopesFit, error) {
	m := f.slopesModel(level, laid)
	fit, err := mixed.Fit(m)
	if f.Dose.OwnSlopes = err == nil && !fit.Singular && fit.Converged; !f.Dose.OwnSlopes {
		f.warn(warnOneSlope())
		m.Random[0].Slopes = nil
		fit, err = mixed.Fit(m)
	}
	if errors.Is(err, model.ErrGrouping) || errors.Is(err, model.ErrNoRatings) {
		f.warn(warnNoDose(f.N))
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	f.warnAll(fit.Warnings)
	out := &slopesFit{level: fit.Fixed[0].Estimate, slope: coefficient(fit.Fixed[1])}
	out.levelAndSlope = jointly(fit, 0)
	if laid {
		out.shift, out.shiftAndSlope = coefficient(fit.Fixed[2]), jointly(fit, 2)
	}
	return out, nil
}

func (f *Finding) slopesModel(level float64, laid bool) mixed.Model {
	var rating, amount, under []float64
	var code []int
	for i, x := range f.Dose.Each {
		add := func(v, at, named float64) {
			if !math.IsNaN(v) {
				rating, amount, under, code = append(rating, v), append(amount, at-f.Dose.Centre), append(under, named),
					append(code, i)
			}
		}
		for k, v := range x.Ratings {
			add(v, f.Dose.Steps[k].Amount, 0)
		}
		if laid {
			add(x.Laid, f.Dose.Laid.Amount, 1)
		}
	}
	m := mixed.Model{Level: level, Fixed: []model.Term{{amountCovariate}},
		Random: []mixed.RandomTerm{{Group: model.Term{assessorFactor}, Slopes: model.Term{amountCovariate}}},
		Data: model.Data{Response: rating, Factors: []model.Factor{factorOf(assessorFactor, code, len(f.Dose.Each))},
			Covariates: []model.Covariate{{Name: amountCovariate, Values: amount}}}}
	if laid {
		m.Fixed = append(m.Fixed, model.Term{laidCovariate})
		m.Data.Covariates = append(m.Data.Covariates, model.Covariate{Name: laidCovariate, Values: under})
	}
	return m
}

func coefficient(c mixed.Coefficient) dose.MeanOfPeople {
	return dose.MeanOfPeople{Value: c.Estimate, SE: c.SE, DF: c.DF, T: c.T, P: c.P, CI: c.CI}
}

// jointly are a fixed effect and the slope, with their covariance.
func jointly(fit *mixed.Result, k int) dose.Estimates {
	return dose.Estimates{A: fit.Fixed[k].Estimate, B: fit.Fixed[1].Estimate, VarA: fit.Covariance(k, k),
		VarB: fit.Covariance(1, 1), Cov: fit.Covariance(k, 1), DegreesOfFreedom: min(fit.Fixed[k].DF, fit.Fixed[1].DF)}
}

// straight holds the means against the line.
func (f *Finding) straight(s *study.Study, t dose.Straightness) {
	f.Checks = append(f.Checks, Check{Method: method.Straight, Title: method.Straight.Title(), Estimate: math.NaN(),
		CI: stats.NoInterval(s.Plan.Level()), Statistic: t.F, DF: t.DF1, DF2: t.DF2, P: t.P})
	if t.P < s.Plan.Alpha {
		f.warn(warnNotStraight(t.P))
	}
}

// straightOnce is what [panel.straightByModel] found of an attribute: the same of every dish
// that is laid on its line, and slow to fit.
type straightOnce struct {
	fitted bool
	found  *dose.Straightness // nil where no model could be fitted
}

// straightByModel is [Finding.straight] of a series that not everybody rated whole: all
// means of the amounts in a model against those on a line.
func (p *panel) straightByModel(s *study.Study, a study.Attribute, f *Finding, once *straightOnce) (err error) {
	if !once.fitted {
		once.found, err = p.fitStraight(s, a, f.Dose.Steps)
		once.fitted = true
	}
	if err == nil && once.found != nil {
		f.straight(s, *once.found)
	}
	return err
}

func (p *panel) fitStraight(s *study.Study, a study.Attribute, steps []DoseStep) (*dose.Straightness, error) {
	var samples []study.SampleID
	for _, step := range steps {
		if step.N == 0 {
			return nil, nil
		}
		samples = append(samples, step.Sample)
	}
	scratch := emptyPanel(s, a)
	fit, err := scratch.fitModel(s, p.servings(s, a.ID, samples), false)
	if errors.Is(err, model.ErrGrouping) || errors.Is(err, model.ErrNoRatings) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	t, err := fit.Contrasts(sampleFactor, beyondLine(steps))
	if err != nil {
		return nil, err
	}
	return &dose.Straightness{F: t.F, DF1: t.DF1, DF2: t.DF2, P: t.P}, nil
}

// beyondLine are the contrasts that are 0 for means on a line: each of the later means
// against what the first two amounts lead one to expect there.
func beyondLine(steps []DoseStep) (rows [][]float64) {
	x0, x1 := steps[0].Amount, steps[1].Amount
	for k := 2; k < len(steps); k++ {
		row := make([]float64, len(steps))
		share := (steps[k].Amount - x0) / (x1 - x0)
		row[0], row[1], row[k] = share-1, -share, 1
		rows = append(rows, row)
	}
	return rows
}
