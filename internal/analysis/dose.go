package analysis

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// DosePart is what only findings on amounts have. The rating at an amount is Level +
// slope·(amount − Centre) on average.
type DosePart struct {
	Unit      study.AmountUnit
	Steps     []DoseStep   // the series, from the least amount on
	Each      []DosePerson // everybody, for the figure
	Slope     dose.MeanOfPeople
	Centre    float64 // an amount, the mean of the series
	Level     float64 // the rating there
	OwnSlopes bool    // each person has a slope of their own in the model
	Complete  bool    // everybody rated every amount, so that the slope is the mean of people's own
	Sought    *Sought // nil where the plan seeks no rating
	Laid      *Laid   // of [KindNamedDose], else nil
}

// DoseStep is one amount of the series.
type DoseStep struct {
	Sample study.SampleID
	Amount float64
	N      int // people who rated it
	Mean   float64
	CI     stats.Interval
}

// DosePerson is one person's ratings and the line through them.
type DosePerson struct {
	Assessor string
	Ratings  []float64 // at the steps; NaN where there is none
	Laid     float64   // of the dish that is laid on the line; NaN where there is none
	Slope    float64   // NaN for fewer than two amounts
	Level    float64   // of their line at [DosePart.Centre]
}

// Fieller is a ratio's confidence set, as its shape says.
type Fieller struct {
	Shape    dose.RatioShape
	CI       stats.Interval // ends infinite where it has none
	Excluded stats.Interval // what [dose.TwoRays] leave out
}

// Holds reports whether a value lies in the set.
func (x Fieller) Holds(v float64) bool {
	switch x.Shape {
	case dose.WholeLine:
		return true
	case dose.TwoRays:
		return v <= x.Excluded.Lo || v >= x.Excluded.Hi
	}
	return x.CI.Lo <= v && v <= x.CI.Hi
}

// Sought is the amount at which a rating is reached on average.
type Sought struct {
	Rating, Amount float64
	Fieller
	Inside bool // the amount lies within the series
}

// Laid is a dish that was served otherwise than the series, laid on its line.
type Laid struct {
	Sample study.SampleID
	Amount float64           // in it
	Mean   float64           // of its ratings
	Shift  dose.MeanOfPeople // of its ratings above the line, scale points
	Like   float64           // the amount that it was rated like
	Inside bool              // which lies within the series
	// the amount with which the dish under this name is rated as the series at Amount, if the name does the same there
	Cook       float64
	CookInside bool // which lies within the series
	Fieller
	estimates dose.Estimates // of shift and slope
}

// findAmounts finds how the rating goes with the amount, on every attribute, and what each
// dish that is served otherwise than the series is worth in amounts. The first is primary
// on the attribute that decides: the worth of the first such dish, if there is one; all
// others are secondary.
func findAmounts(s *study.Study, ratings []Rating, _ []Expectation, _ *leftOut, r *Result) error {
	p, err := tabulate(s, ratings)
	if err != nil {
		return err
	}
	p.mark(sayTheSame(s, ratings))
	attributes := slices.Clone(s.Attributes)
	slices.SortStableFunc(attributes, func(a, b study.Attribute) int {
		return boolToInt(b.ID == s.Plan.Attribute) - boolToInt(a.ID == s.Plan.Attribute)
	})
	found := make([][]Finding, len(attributes))
	if err := atOnce(len(attributes), func(i int) (err error) {
		found[i], err = p.onAmounts(s, attributes[i])
		return err
	}); err != nil {
		return err
	}
	r.Findings = slices.Concat(found...)
	r.Findings[0].Role = Primary
	if err := adjustAmounts(s.Plan, r); err != nil {
		return err
	}
	for i := range r.Findings {
		r.Findings[i].conclude(s.Plan)
	}
	return p.recheckAmounts(s, &r.Findings[0])
}

// onAmounts are the findings on one attribute: the worth of each dish laid on the line,
// then the line itself.
func (p *panel) onAmounts(s *study.Study, a study.Attribute) ([]Finding, error) {
	series, laid := s.Series()
	var all []Finding
	once := &straightOnce{}
	for _, x := range laid {
		f := p.emptyDose(s, a, series)
		f.Kind, f.Measure = KindNamedDose, method.EquivalentDose
		f.Comparison = append([]study.SampleID{x.ID}, f.Comparison...)
		if err := p.lay(s, a, x, &f, once); err != nil {
			return nil, fmt.Errorf("lay %s on the line of %s: %w", x.ID, a.ID, err)
		}
		p.remarkDose(s, a, &f)
		all = append(all, f)
	}
	if err := remarkLevels(s, all); err != nil {
		return nil, fmt.Errorf("compare what a name does at several amounts on %s: %w", a.ID, err)
	}
	f := p.emptyDose(s, a, series)
	if err := p.line(s, a, &f, once); err != nil {
		return nil, fmt.Errorf("draw the line of %s: %w", a.ID, err)
	}
	p.remarkDose(s, a, &f)
	return append(all, f), nil
}

func (p *panel) emptyDose(s *study.Study, a study.Attribute, series []study.Sample) Finding {
	nan := math.NaN()
	f := Finding{Kind: KindDose, Attribute: a.ID, Role: Secondary, Test: noTest(method.SlopeT),
		Estimate: Estimate{Measure: method.Slope, Value: nan, CI: stats.NoInterval(s.Plan.Level())}}
	f.Dose.Unit, f.Dose.Level = s.AmountsIn, nan
	f.Dose.Slope = dose.MeanOfPeople{Value: nan, SE: nan, DF: nan, T: nan, P: nan, CI: f.CI}
	for _, x := range series {
		f.Comparison = append(f.Comparison, x.ID)
		step := DoseStep{Sample: x.ID, Amount: s.Amount(x.ID)}
		values := p.column(a.ID, x.ID).means()
		step.N, step.Mean = len(values), stats.Mean(values)
		step.CI = meanInterval(values, s.Plan.Level())
		f.Dose.Steps = append(f.Dose.Steps, step)
		f.Dose.Centre += step.Amount / float64(len(series))
	}
	return f
}

// means are one number of everybody who rated a sample.
func (c column) means() (all []float64) {
	for i := range c {
		if v, _, ok := c.mean(i); ok {
			all = append(all, v)
		}
	}
	return all
}

func meanInterval(x []float64, level float64) stats.Interval {
	if len(x) < 2 {
		return stats.NoInterval(level)
	}
	n := float64(len(x))
	half := dist.TQuantile((1+level)/2, n-1) * stats.SD(x) / math.Sqrt(n)
	return stats.Interval{Lo: stats.Mean(x) - half, Hi: stats.Mean(x) + half, Level: level}
}

// people fills who rated what, with the line of each, and returns whether everybody rated
// every amount, and the dish that is laid on the line where there is one.
func (f *Finding) people(p *panel, laid study.SampleID) (complete bool) {
	complete = true
	for i, who := range p.assessors {
		x := DosePerson{Assessor: who, Laid: math.NaN(), Slope: math.NaN(), Level: math.NaN()}
		rated := 0
		for _, step := range f.Dose.Steps {
			v, _, ok := p.column(f.Attribute, step.Sample).mean(i)
			if !ok {
				v = math.NaN()
			} else {
				rated++
			}
			x.Ratings = append(x.Ratings, v)
		}
		if laid != "" {
			v, _, ok := p.column(f.Attribute, laid).mean(i)
			if ok {
				x.Laid = v
			}
			complete = complete && ok == (rated > 0)
		}
		if rated == 0 && math.IsNaN(x.Laid) {
			continue
		}
		complete = complete && rated == len(f.Dose.Steps)
		x.fitLine(f.Dose)
		f.Dose.Each = append(f.Dose.Each, x)
	}
	return complete
}

// fitLine fits the line of one person by least squares.
func (x *DosePerson) fitLine(d DosePart) {
	var at, rated []float64
	for i, v := range x.Ratings {
		if !math.IsNaN(v) {
			at, rated = append(at, d.Steps[i].Amount), append(rated, v)
		}
	}
	if len(at) < 2 {
		return
	}
	if fit, err := dose.LineThrough(at, rated); err == nil {
		x.Slope, x.Level = fit.Slope, fit.Intercept+fit.Slope*d.Centre
	}
}

// complete are the ratings of people who rated every amount.
func (f *Finding) series() (s dose.Series) {
	for _, step := range f.Dose.Steps {
		s.Levels = append(s.Levels, step.Amount)
	}
	for _, x := range f.Dose.Each {
		s.Plain = append(s.Plain, x.Ratings)
	}
	return s
}

// line finds the slope of the ratings over the amounts.
func (p *panel) line(s *study.Study, a study.Attribute, f *Finding, once *straightOnce) error {
	complete := f.people(p, "")
	f.N = len(f.Dose.Each)
	if f.N < 2 {
		f.warn(warnNoDose(f.N))
		return nil
	}
	f.Dose.Complete = complete
	level := s.Plan.Level()
	var e dose.Estimates // of the way to the rating sought, and the slope
	if complete {
		lines, err := dose.PeopleLines(f.series(), level)
		if err != nil {
			return err
		}
		f.Dose.Slope, f.Dose.Level, f.Dose.OwnSlopes = lines.Slope, stats.Mean(lines.Middles), true
		e = dose.MeansOf(lines.Middles, lines.Slopes)
		f.straight(s, lines.Straight)
	} else {
		fit, err := f.fitSlopes(level, false)
		if err != nil || fit == nil {
			return err
		}
		f.Dose.Slope, f.Dose.Level, e = fit.slope, fit.level, fit.levelAndSlope
		if err := p.straightByModel(s, a, f, once); err != nil {
			return err
		}
	}
	slope := f.Dose.Slope
	f.Value, f.CI, f.Lean = slope.Value, slope.CI, signOf(slope.Value)
	f.Test.Statistic, f.Test.DF, f.Test.P = slope.T, slope.DF, slope.P
	if same, ok := f.samenessLevel(s.Plan, 1); ok {
		f.EquivalenceCI = slopeInterval(slope, same)
	}
	f.seek(s, a, e)
	return nil
}

// slopeInterval is the interval of a slope at a level.
func slopeInterval(slope dose.MeanOfPeople, level float64) stats.Interval {
	half := dist.TQuantile((1+level)/2, slope.DF) * slope.SE
	return stats.Interval{Lo: slope.Value - half, Hi: slope.Value + half, Level: level}
}

// seek finds the amount at which the rating that the plan seeks is reached.
func (f *Finding) seek(s *study.Study, a study.Attribute, e dose.Estimates) {
	want := s.Plan.WantedRating
	if want == nil || a.ID != s.Plan.Attribute {
		return
	}
	e.A, e.Cov = *want-e.A, -e.Cov // the way from the mean rating to the one sought
	r, err := dose.Fieller(e, s.Plan.Level())
	if err != nil {
		return
	}
	r = r.Shifted(f.Dose.Centre)
	x := Sought{Rating: *want, Amount: r.Ratio, Fieller: Fieller{r.Type, r.CI, r.Excluded},
		Inside: f.within(r.Ratio)}
	f.Dose.Sought = &x
	if !x.Inside && r.Type == dose.Bounded {
		f.warn(warnSeriesShort(s, x))
	}
}

// within reports whether an amount lies within the series.
func (f *Finding) within(amount float64) bool {
	steps := f.Dose.Steps
	return amount >= steps[0].Amount && amount <= steps[len(steps)-1].Amount
}

// lay finds what a dish is worth in amounts by which it is rated above the line.
func (p *panel) lay(s *study.Study, a study.Attribute, x study.Sample, f *Finding, once *straightOnce) error {
	complete := f.people(p, x.ID)
	laid := Laid{Sample: x.ID, Amount: s.Amount(x.ID), Mean: stats.Mean(p.column(a.ID, x.ID).means()),
		Like: math.NaN(), Cook: math.NaN()}
	laid.Shift, laid.CI, laid.Excluded = f.Dose.Slope, f.CI, f.CI
	f.Dose.Laid, f.Dose.Complete = &laid, complete
	f.Test = noTest(method.ShiftT)
	if f.N = len(f.Dose.Each); f.N < 2 {
		f.warn(warnNoDose(f.N))
		return nil
	}
	level := s.Plan.Level()
	if complete {
		var named []float64
		for _, e := range f.Dose.Each {
			named = append(named, e.Laid)
		}
		r, err := dose.EquivalentDose(f.series(), named, laid.Amount, level)
		if err != nil {
			return err
		}
		f.Dose.Slope, f.Dose.Level, f.Dose.OwnSlopes = r.Lines.Slope, stats.Mean(r.Lines.Middles), true
		laid.Shift, laid.estimates = r.Shift, dose.MeansOf(r.Shifts, r.Lines.Slopes)
		f.straight(s, r.Lines.Straight)
	} else {
		fit, err := f.fitSlopes(level, true)
		if err != nil || fit == nil {
			return err
		}
		f.Dose.Slope, f.Dose.Level, laid.Shift, laid.estimates = fit.slope, fit.level, fit.shift, fit.shiftAndSlope
		if err := p.straightByModel(s, a, f, once); err != nil {
			return err
		}
	}
	f.Test.Statistic, f.Test.DF, f.Test.P = laid.Shift.T, laid.Shift.DF, laid.Shift.P
	f.Lean = signOf(laid.Shift.Value)
	r, err := dose.Fieller(laid.estimates, level)
	if err != nil {
		f.warn(warnSlopeUnclear())
		return nil
	}
	f.Value, laid.Fieller, laid.Like = r.Ratio, Fieller{r.Type, r.CI, r.Excluded}, laid.Amount+r.Ratio
	f.CI = stats.NoInterval(level)
	if r.Type == dose.Bounded {
		f.CI = r.CI
	} else {
		f.warn(warnSlopeUnclear())
	}
	laid.Inside = f.within(laid.Like)
	switch {
	case r.Type != dose.Bounded:
	case !laid.Inside:
		f.warn(warnOutsideRange(s, laid))
	case !f.within(laid.Amount+r.CI.Lo) || !f.within(laid.Amount+r.CI.Hi):
		f.warn(warnEndOutside())
	}
	laid.Cook, laid.CookInside = laid.Amount-r.Ratio, f.within(laid.Amount-r.Ratio)
	return nil
}

// adjustAmounts adjusts the secondary findings together, p by Holm's method and intervals
// by Bonferroni's.
func adjustAmounts(plan study.AnalysisPlan, r *Result) error {
	var family []*Finding
	var ps []float64
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Role == Secondary && !math.IsNaN(f.Test.P) {
			family, ps = append(family, f), append(ps, f.Test.P)
		}
	}
	if len(family) < 2 {
		return nil
	}
	if plan.Adjust == study.NoAdjustment {
		r.Warnings = append(r.Warnings, warnNotAdjusted(len(family), plan.Alpha))
		return nil
	}
	level := 1 - plan.Alpha/float64(len(family))
	for i, p := range stats.Holm(ps) {
		f := family[i]
		f.Test.PAdjusted, f.Family = p, len(family)
		switch {
		case f.Dose.Laid == nil:
			f.Adjusted = slopeInterval(f.Dose.Slope, level)
			continue
		case f.CI.Absent():
			continue
		}
		wide, err := dose.Fieller(f.Dose.Laid.estimates, level)
		if err != nil {
			return err
		}
		if wide.Type == dose.Bounded {
			f.Adjusted = wide.CI
		}
	}
	return nil
}

// At is the rating of the line at an amount.
func (d DosePart) At(amount float64) float64 { return d.Level + d.Slope.Value*(amount-d.Centre) }
