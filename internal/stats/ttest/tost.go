package ttest

import (
	"errors"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// ErrBounds is returned when equivalence bounds are not two finite numbers in
// rising order.
var ErrBounds = errors.New("equivalence bounds must be finite, the lower below the upper")

// TOSTOptions sets an equivalence test.
type TOSTOptions struct {
	Lower, Upper float64 // bounds of the mean difference, in scale points
	Alpha        float64 // 0 means 0.05
}

// TOSTResult is the outcome of [TOST].
type TOSTResult struct {
	N              int
	Diff           float64        // mean of x − y
	TLower, PLower float64        // against Diff ≤ Lower
	TUpper, PUpper float64        // against Diff ≥ Upper
	DF, P          float64        // P is the larger of the two
	CI             stats.Interval // level 1 − 2α: equivalent when it lies inside the bounds
	Equivalent     bool
	Warnings       []stats.Warning
}

// TOST tests that the mean difference of paired samples lies inside
// (Lower, Upper) by two one-sided paired t tests (Schuirmann 1987, J.
// Pharmacokinet. Biopharm. 15:657). Absences as in [Paired]; when all
// differences are equal nothing can be concluded. Errors: those of [Paired],
// [ErrBounds], and [stats.ErrLevel] for an Alpha outside (0, ½).
func TOST(x, y []float64, o TOSTOptions) (TOSTResult, error) {
	alpha := o.Alpha
	if alpha == 0 {
		alpha = 0.05
	}
	if !(alpha > 0 && alpha < 0.5) {
		return TOSTResult{}, stats.ErrLevel
	}
	if !(o.Lower < o.Upper) || stats.CheckSize([]float64{o.Lower, o.Upper}) != nil {
		return TOSTResult{}, ErrBounds
	}
	t, err := Paired(x, y, PairedOptions{Level: 1 - 2*alpha})
	if err != nil {
		return TOSTResult{}, err
	}
	r := TOSTResult{N: t.N, Diff: t.Diff, DF: t.DF, CI: t.CI, Warnings: t.Warnings}
	if math.IsNaN(t.P) {
		r.TLower, r.PLower, r.TUpper, r.PUpper, r.P = t.P, t.P, t.P, t.P, t.P
		return r, nil
	}
	r.TLower, r.TUpper = (t.Diff-o.Lower)/t.SE, (t.Diff-o.Upper)/t.SE
	r.PLower, r.PUpper = dist.TSurvival(r.TLower, t.DF), dist.TCDF(r.TUpper, t.DF)
	r.P = max(r.PLower, r.PUpper)
	r.Equivalent = r.P < alpha
	return r, nil
}
