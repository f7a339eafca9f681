package profile

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// WarnNoInterval marks an estimate whose interval cannot be computed.
const WarnNoInterval = "no-interval"

// ICC is one intraclass correlation with its interval.
type ICC struct {
	Value float64
	CI    stats.Interval
}

// ICCResult holds the six intraclass correlations of Shrout & Fleiss.
type ICCResult struct {
	N, K int // things judged, judges

	MSBetween, MSJudges, MSError, MSWithin float64

	// Single judge and mean of K judges: one-way random (1), two-way random
	// (2) and two-way mixed (3).
	Single1, Single2, Single3    ICC
	Average1, Average2, Average3 ICC

	FBetween, PBetween float64 // test of no differences between the things judged
	Alpha              float64 // Cronbach's α
	Warnings           []stats.Warning
}

// IntraclassCorrelations judges how far judges agree on things: rows are the
// things judged, columns the judges, no cell missing. level 0 means 0.95.
//
// Forms and names: Shrout & Fleiss (1979), Psychol. Bull. 86, 420–428.
// Intervals: McGraw & Wong (1996), Psychol. Methods 1, 30–46; the interval of
// the two-way random form uses Satterthwaite's df. Cronbach's α (1951,
// Psychometrika 16, 297–334) equals the averaged two-way mixed form.
//
// Table without any variation: the correlations are marked absent. A negative
// estimate is reported as it is; it says that judges disagree more than
// chance.
func IntraclassCorrelations(values [][]float64, level float64) (ICCResult, error) {
	level, errLevel := stats.LevelOr95(level)
	n, k, err := stats.CheckTable(values)
	if err = errors.Join(err, errLevel); err != nil {
		return ICCResult{}, err
	}
	m := tableMeanSquares(values, n, k)
	r := ICCResult{N: n, K: k, MSBetween: m.between, MSJudges: m.judges, MSError: m.residual, MSWithin: m.within}
	r.FBetween, r.PBetween = m.between/m.residual, math.NaN()
	r.Alpha = CronbachAlpha(values)
	m.correlations(&r, level)
	if m.between == 0 && m.within == 0 {
		r.FBetween = math.NaN()
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnConstant,
			Text: "All values are the same: agreement cannot be judged."})
		return r, nil
	}
	if m.between == 0 && m.residual == 0 {
		r.FBetween = math.NaN()
	}
	if !math.IsNaN(r.FBetween) {
		r.PBetween = dist.FSurvival(r.FBetween, m.dfB, m.dfE)
	}
	if r.Single2.CI.Absent() {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnNoInterval,
			Text: "The interval of the two-way random form cannot be computed for these judges."})
	}
	if m.between == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnConstant,
			Text: "The things judged have equal means: averages over judges carry no information about them."})
	}
	return r, nil
}

// CronbachAlpha returns Cronbach's α: rows are people or things, columns the
// items. NaN when the table is malformed or the row totals do not vary.
func CronbachAlpha(values [][]float64) float64 {
	n, k, err := stats.CheckTable(values)
	if err != nil {
		return math.NaN()
	}
	items := 0.0
	column, totals := make([]float64, n), make([]float64, n)
	for j := range k {
		for i, row := range values {
			column[i] = row[j]
			totals[i] += row[j]
		}
		items += stats.Variance(column)
	}
	total := stats.Variance(totals)
	if total == 0 {
		return math.NaN()
	}
	return float64(k) / float64(k-1) * (1 - items/total)
}

// meanSquares are those of a two-way table without replicates.
type meanSquares struct {
	n, k                              float64
	between, judges, residual, within float64
	dfB, dfW, dfE                     float64
}

func tableMeanSquares(values [][]float64, rows, columns int) meanSquares {
	n, k := float64(rows), float64(columns)
	rowMeans, colMeans, grand := make([]float64, rows), make([]float64, columns), 0.0
	for i, row := range values {
		for j, v := range row {
			rowMeans[i] += v / k
			colMeans[j] += v / n
			grand += v / (n * k)
		}
	}
	var ssB, ssJ, ssE float64
	for _, m := range rowMeans {
		ssB += k * (m - grand) * (m - grand)
	}
	for _, m := range colMeans {
		ssJ += n * (m - grand) * (m - grand)
	}
	scale := 0.0
	for i, row := range values {
		for j, v := range row {
			e := v - rowMeans[i] - colMeans[j] + grand
			ssE += e * e
			scale += v * v
		}
	}
	for _, ss := range []*float64{&ssB, &ssJ, &ssE} {
		if *ss <= stats.RoundingShare*scale { // rounding of equal values, not variation
			*ss = 0
		}
	}
	m := meanSquares{n: n, k: k, dfB: n - 1, dfW: n * (k - 1), dfE: (n - 1) * (k - 1)}
	m.between, m.judges, m.residual = ssB/m.dfB, ssJ/(k-1), ssE/m.dfE
	m.within = (ssJ + ssE) / m.dfW
	return m
}

func (m meanSquares) correlations(r *ICCResult, level float64) {
	b, j, e, w, n, k := m.between, m.judges, m.residual, m.within, m.n, m.k
	a := (1 - level) / 2
	f1 := fLimits(b/w, m.dfB, m.dfW, a)
	f3 := fLimits(b/e, m.dfB, m.dfE, a)
	single := func(value float64, f [2]float64) ICC {
		return ICC{value, stats.Interval{Lo: spread(f[0], k), Hi: spread(f[1], k), Level: level}}
	}
	average := func(value float64, f [2]float64) ICC {
		return ICC{value, stats.Interval{Lo: 1 - 1/f[0], Hi: 1 - 1/f[1], Level: level}}
	}
	r.Single1 = single((b-w)/(b+(k-1)*w), f1)
	r.Single3 = single((b-e)/(b+(k-1)*e), f3)
	r.Average1 = average((b-w)/b, f1)
	r.Average3 = average((b-e)/b, f3)
	two := m.twoWayRandom(a)
	r.Single2 = ICC{(b - e) / (b + (k-1)*e + k*(j-e)/n), stats.Interval{Lo: two[0], Hi: two[1], Level: level}}
	r.Average2 = ICC{(b - e) / (b + (j-e)/n), stats.Interval{Lo: spearmanBrown(two[0], k), Hi: spearmanBrown(two[1], k),
		Level: level}}
}

// fLimits are the limits of a variance ratio from its F statistic.
func fLimits(f, df1, df2, a float64) [2]float64 {
	if math.IsInf(f, 1) || math.IsNaN(f) {
		return [2]float64{f, f}
	}
	return [2]float64{
		f / distuv.F{D1: df1, D2: df2}.Quantile(1-a),
		f * distuv.F{D1: df2, D2: df1}.Quantile(1-a),
	}
}

// spread maps a variance ratio to a single-judge correlation, 1 at +Inf.
func spread(f, k float64) float64 {
	if math.IsInf(f, 1) {
		return 1
	}
	return (f - 1) / (f + k - 1)
}

// spearmanBrown is the Spearman–Brown formula for the mean of k judges.
func spearmanBrown(r, k float64) float64 { return r * k / (1 + (k-1)*r) }

// twoWayRandom returns the limits of ICC(2,1): McGraw & Wong (1996), table 7.
func (m meanSquares) twoWayRandom(a float64) [2]float64 {
	b, j, e, n, k := m.between, m.judges, m.residual, m.n, m.k
	rho := (b - e) / (b + (k-1)*e + k*(j-e)/n)
	if math.IsNaN(rho) {
		return [2]float64{rho, rho}
	}
	if e == 0 && j == 0 {
		return [2]float64{1, 1}
	}
	// Satterthwaite's df of the denominator, written without J/E so that E = 0
	// has its limit.
	u, v := k*rho*j, (n*(1+(k-1)*rho)-k*rho)*e
	nu := (k - 1) * (n - 1) * (u + v) * (u + v) / ((n-1)*u*u + v*v)
	if !(nu > 0) { // a negative estimate at which the denominator has no variance left
		return [2]float64{math.NaN(), math.NaN()}
	}
	fu := distuv.F{D1: n - 1, D2: nu}.Quantile(1 - a)
	fl := distuv.F{D1: nu, D2: n - 1}.Quantile(1 - a)
	c := k*j + (k*n-k-n)*e
	limits := [2]float64{n * (b - fu*e) / (fu*c + n*b), n * (fl*b - e) / (c + n*fl*b)}
	if math.IsInf(fu, 1) { // nearly no degrees of freedom: the limits of the ratios
		limits[0] = -n * e / c
	}
	if math.IsInf(fl, 1) && b > 0 {
		limits[1] = 1
	}
	return limits
}
