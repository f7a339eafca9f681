package effect

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// TwoSampleSizes are the effect sizes of x against y, rated by different
// assessors. What cannot be computed is NaN and a warning says why.
type TwoSampleSizes struct {
	NX, NY               int
	Difference           Size    // of means in scale points, with the Welch interval
	Ds, Gs               Size    // standardised by the pooled SD, noncentral-t interval; Gs = J·Ds
	J                    float64 // Hedges' correction at nₓ+nᵧ−2 df
	GlassDelta           Size    // standardised by the SD of y (the control)
	CliffsDelta          Size    // P(x > y) − P(x < y), Fisher-z interval
	Superiority          float64 // P(x > y) + ½·P(x = y)
	CommonLanguageNormal float64 // Φ(Ds/√2) (McGraw & Wong 1992, Psychol. Bull. 111:361)
	Warnings             []stats.Warning
}

// TwoSample computes the effect sizes of two independent samples.
// Cohen's d_s (Cohen 1988, sect. 2.2) and Glass's Δ (Glass 1976) divided by
// √(1/nₓ+1/nᵧ) are noncentral t statistics under equal variances (Hedges
// 1981), on nₓ+nᵧ−2 and nᵧ−1 degrees of freedom. Cliff's δ (Cliff 1993,
// Psychol. Bull. 114:494) is 2U/(nₓnᵧ) − 1, its interval Fisher's z with the
// untied null standard error √((nₓ+nᵧ+1)/(3nₓnᵧ)), absent at ±1.
// Errors: [stats.ErrEmpty], [stats.ErrNotFinite], [stats.ErrLevel].
func TwoSample(x, y []float64, level float64) (TwoSampleSizes, error) {
	w, err := ttest.Welch(x, y, ttest.TwoSampleOptions{Level: level})
	if err != nil {
		return TwoSampleSizes{}, err
	}
	mw, err := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{ExactCost: -1})
	if err != nil {
		return TwoSampleSizes{}, err
	}
	level = w.CI.Level
	m, n := float64(w.NX), float64(w.NY)
	spread := math.Sqrt(1/m + 1/n)
	df := m + n - 2
	e := TwoSampleSizes{NX: w.NX, NY: w.NY, Difference: Size{Value: w.Diff, CI: w.CI}, J: HedgesJ(df),
		Superiority: mw.U / (m * n), Warnings: w.Warnings}
	e.Ds = standardised(w.Diff, ttest.PooledSD(x, y), spread, df, level)
	e.Gs = e.Ds.times(e.J)
	e.GlassDelta = standardised(w.Diff, w.SDY, spread, n-1, level)
	e.CliffsDelta = fisherInterval((mw.U-mw.UOther)/(m*n), math.Sqrt((m+n+1)/(3*m*n)), level)
	e.CommonLanguageNormal = dist.NormalCDF(e.Ds.Value / math.Sqrt2)
	return e, nil
}

// standardised is difference/sd with the noncentral-t interval on df degrees
// of freedom, spread being √(1/nₓ+1/nᵧ).
func standardised(difference, sd, spread, df, level float64) Size {
	if df < 1 {
		return noEffect(level, stats.TooFew(2, "ratings of the sample that sets the spread"))
	}
	if sd == 0 {
		return noEffect(level, stats.NoSpread("ratings of the sample that sets the spread"))
	}
	lo, hi := dist.NoncentralTInterval(difference/sd/spread, df, level)
	return Size{Value: difference / sd, CI: stats.Interval{Lo: lo * spread, Hi: hi * spread, Level: level}}
}
