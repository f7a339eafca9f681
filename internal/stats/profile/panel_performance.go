package profile

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/dose"
)

// WarnNoReplicates marks panel measures that need replicated ratings.
const WarnNoReplicates = "no-replicates"

// PanelRating is one rating of one attribute. Assessors and samples are
// numbered from 0.
type PanelRating struct {
	Assessor, Sample int
	Value            float64
}

// AssessorQuality describes one assessor of a panel for one attribute.
type AssessorQuality struct {
	Assessor, N int
	// Discrimination: one-way analysis of variance of the assessor's own
	// ratings over samples; F large and P small when the samples are told
	// apart. NaN without replicates.
	F, DF1, DF2, P float64
	// Repeatability is the standard deviation between replicates of the same
	// sample (root of the error mean square), in scale points.
	Repeatability float64
	// Agreement is the correlation of the assessor's sample means with those
	// of the other assessors.
	Agreement float64
	// Level is the mean deviation from the panel's mean over the same samples
	// (uses the scale high or low); Spread the slope of the assessor's sample
	// means on the others' (1: same use of the scale).
	Level, Spread float64
	// SpreadSE is the standard error of Spread by the assessor's own error between
	// replicates, for the others' means as they are; NaN without replicates.
	SpreadSE float64
}

// PanelQuality describes a panel for one attribute.
type PanelQuality struct {
	Assessors []AssessorQuality
	// F and P of samples against the sample × assessor interaction (or, without
	// replicates, the residual) over complete cells: does the panel as a whole
	// tell the samples apart?
	FSample, DF1, DF2, P float64
	// Interaction: does the panel disagree more than its replicates do?
	FInteraction, DFInteraction, DFError, PInteraction float64
	Repeatability                                      float64 // pooled over assessors
	Warnings                                           []stats.Warning
}

// PanelPerformance judges a panel on one attribute from ratings of samples, with
// or without replicates, balanced or not.
//
// One-way analyses by assessor (discrimination F and root mean square error):
// Næs & Solheim (1991), J. Sens. Stud. 6, 159–177; Lea, Næs & Rødbotten (1997),
// Analysis of Variance for Sensory Data. Agreement, level and spread against
// the mean of the other assessors: common practice, no single source. Samples
// are tested against the interaction, as assessors are a sample of people.
func PanelPerformance(ratings []PanelRating) (PanelQuality, error) {
	g, err := newPanelGrid(ratings)
	if err != nil {
		return PanelQuality{}, err
	}
	var q PanelQuality
	var ss, df float64
	for i := range g.assessors {
		a, within, dfWithin := g.assessor(i)
		ss, df = ss+within, df+dfWithin
		q.Assessors = append(q.Assessors, a)
	}
	q.Repeatability = math.Sqrt(ss / df) // 0/0 without replicates
	g.panelTests(&q, ss, df)
	if df == 0 {
		q.Warnings = append(q.Warnings, stats.Warning{Code: WarnNoReplicates,
			Text: "No sample was rated twice by the same assessor: repeatability and each assessor's " +
				"discrimination cannot be judged."})
	}
	if q.constant() {
		q.Warnings = append(q.Warnings, stats.NoSpread("ratings of some assessor or of the panel"))
	}
	return q, nil
}

// constant reports whether a test is absent for want of variation although its
// degrees of freedom are there.
func (q *PanelQuality) constant() bool {
	for _, a := range q.Assessors {
		if a.DF1 > 0 && a.DF2 > 0 && math.IsNaN(a.F) || a.DF1 > 1 && math.IsNaN(a.Agreement) {
			return true
		}
	}
	return q.DF2 > 0 && math.IsNaN(q.FSample)
}

// panelGrid holds the ratings of each assessor × sample cell.
type panelGrid struct {
	assessors, samples int
	cells              [][][]float64
}

// maxPanelCode bounds assessor and sample numbers, against tables of absurd
// size from a wrong code.
const maxPanelCode = 100_000

func newPanelGrid(ratings []PanelRating) (panelGrid, error) {
	var g panelGrid
	if len(ratings) == 0 {
		return g, stats.ErrEmpty
	}
	for i, r := range ratings {
		if r.Assessor < 0 || r.Sample < 0 || r.Assessor > maxPanelCode || r.Sample > maxPanelCode {
			return g, fmt.Errorf("rating %d, assessor %d, sample %d: number them from 0", i+1, r.Assessor, r.Sample)
		}
		if err := stats.CheckUsable([]float64{r.Value}); err != nil {
			return g, fmt.Errorf("rating %d: %w", i+1, err)
		}
		g.assessors, g.samples = max(g.assessors, r.Assessor+1), max(g.samples, r.Sample+1)
	}
	if g.assessors*g.samples > 100*len(ratings)+maxPanelCode {
		return g, errors.New("assessors and samples are numbered with gaps: number them from 0 without gaps")
	}
	g.cells = make([][][]float64, g.assessors)
	for i := range g.cells {
		g.cells[i] = make([][]float64, g.samples)
	}
	for _, r := range ratings {
		g.cells[r.Assessor][r.Sample] = append(g.cells[r.Assessor][r.Sample], r.Value)
	}
	return g, nil
}

// assessor judges one assessor and returns the sum of squares between
// replicates with its degrees of freedom.
func (g panelGrid) assessor(i int) (a AssessorQuality, within, dfWithin float64) {
	a.Assessor = i
	var all, own, others, both []float64
	var times []float64 // ratings of each sample in own
	for s, cell := range g.cells[i] {
		all = append(all, cell...)
		if len(cell) == 0 {
			continue
		}
		mean := stats.Mean(cell)
		for _, v := range cell {
			within += (v - mean) * (v - mean)
		}
		dfWithin += float64(len(cell) - 1)
		if rest, ok := g.others(i, s); ok {
			own, others, both = append(own, mean), append(others, rest), append(both, mean-rest)
			times = append(times, float64(len(cell)))
		}
	}
	a.N = len(all)
	between := 0.0
	grand, k := stats.Mean(all), 0
	for _, cell := range g.cells[i] {
		if len(cell) > 0 {
			k++
			between += float64(len(cell)) * (stats.Mean(cell) - grand) * (stats.Mean(cell) - grand)
		}
	}
	a.DF1, a.DF2 = float64(k-1), dfWithin
	a.Repeatability = math.Sqrt(within / dfWithin)
	a.F = between / a.DF1 / (within / dfWithin)
	a.P = dist.FSurvival(a.F, a.DF1, a.DF2)
	a.Agreement, a.Level, a.Spread = stats.Correlation(own, others), stats.Mean(both), math.NaN()
	if line, err := dose.LineThrough(others, own); err == nil {
		a.Spread = line.Slope
	}
	a.SpreadSE = a.Repeatability * slopeError(others, times)
	return a, within, dfWithin
}

// slopeError is the standard error of a least-squares slope on x whose points are means of so
// many values, in standard deviations of one value.
func slopeError(x, times []float64) float64 {
	mean, sxx, variance := stats.Mean(x), 0.0, 0.0
	for _, v := range x {
		sxx += (v - mean) * (v - mean)
	}
	for i, v := range x {
		variance += (v - mean) * (v - mean) / times[i]
	}
	return math.Sqrt(variance) / sxx
}

// others is the mean over the other assessors' means of a sample.
func (g panelGrid) others(i, s int) (float64, bool) {
	sum, n := 0.0, 0.0
	for j := range g.cells {
		if j != i && len(g.cells[j][s]) > 0 {
			sum += stats.Mean(g.cells[j][s])
			n++
		}
	}
	return sum / n, n > 0
}

// panelTests tests samples and the interaction on the table of cell means of
// the assessors who rated every sample; unequal numbers of replicates enter by
// their harmonic mean (unweighted means).
func (g panelGrid) panelTests(q *PanelQuality, ssWithin, dfWithin float64) {
	nan := math.NaN()
	q.FSample, q.P, q.FInteraction, q.PInteraction, q.DF1, q.DF2, q.DFInteraction, q.DFError = nan, nan, nan, nan, nan,
		nan, nan, nan
	var table [][]float64
	inverse, cells := 0.0, 0.0
	for _, row := range g.cells {
		means := make([]float64, 0, len(row))
		for _, cell := range row {
			if len(cell) > 0 {
				means = append(means, stats.Mean(cell))
			}
		}
		if len(means) < len(row) {
			continue
		}
		for _, cell := range row {
			inverse += 1 / float64(len(cell))
			cells++
		}
		table = append(table, means)
	}
	n, k, err := stats.CheckTable(table)
	if err != nil {
		q.Warnings = append(q.Warnings, stats.TooFew(2, "assessors who rated every sample, of at least two"))
		return
	}
	m := tableMeanSquares(table, n, k)
	q.DF1, q.DF2 = float64(k-1), m.dfE
	if m.judges > 0 || m.residual > 0 { // columns of the table are the samples
		q.FSample = m.judges / m.residual
		q.P = dist.FSurvival(q.FSample, q.DF1, q.DF2)
	}
	if dfWithin > 0 && ssWithin > 0 {
		harmonic := cells / inverse
		q.DFInteraction, q.DFError = m.dfE, dfWithin
		q.FInteraction = m.residual * harmonic / (ssWithin / dfWithin)
		q.PInteraction = dist.FSurvival(q.FInteraction, m.dfE, dfWithin)
	}
}
