package ranks

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Codes of the warnings that orders leave the worths without bounds, and that the fit of them did not settle.
const (
	WarnNoWorths        = "worths-unbounded"
	WarnWorthsUnsettled = "worths-not-settled"
)

// WorthsResult is the outcome of [Worths].
type WorthsResult struct {
	N, K          int
	Log           []float64        // logarithms of the worths, with the sum 0
	SE            []float64        // of them
	Worth         []float64        // chance that a person puts a sample before all others; they add up to 1
	CI            []stats.Interval // of Worth, each on its own
	LogLikelihood float64
	Warnings      []stats.Warning
}

// Worths fits the model that people put samples in an order from the first place on, each time
// choosing one of those left with chances that go with their worths (Luce 1959; Plackett 1975,
// Appl. Stat. 24:193), by maximum likelihood with Newton's method. rows[i][j] is the place, from
// 1, at which person i puts sample j; all have all places, without ties. Intervals are by the
// delta method on the log odds of a worth.
//
// Where some samples stand before all others in every order their worths have no bounds (Ford
// 1957, Am. Math. Mon. 64:28): all is NaN then, with the warning [WarnNoWorths]; likewise, with
// [WarnWorthsUnsettled], where Newton's method does not settle. level is that of the intervals, in
// (0, 1); there is no default. Errors: [stats.ErrEmpty], or what row is no order.
func Worths(rows [][]float64, level float64) (WorthsResult, error) {
	if len(rows) == 0 || len(rows[0]) < 2 {
		return WorthsResult{}, stats.ErrEmpty
	}
	k := len(rows[0])
	r := WorthsResult{N: len(rows), K: k, LogLikelihood: math.NaN()}
	for range k {
		r.Log, r.SE = append(r.Log, math.NaN()), append(r.SE, math.NaN())
		r.Worth, r.CI = append(r.Worth, math.NaN()), append(r.CI, stats.NoInterval(level))
	}
	orders, err := ordersOf(rows)
	if err != nil {
		return r, err
	}
	if !connected(orders, k) {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnNoWorths, Text: "in every order some of the samples " +
			"stand before all others, so that what the samples are worth to people has no bounds: more people are " +
			"needed to tell"})
		return r, nil
	}
	covariance, ok := r.fit(orders)
	if !ok {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnWorthsUnsettled, Text: "what the samples are worth " +
			"to people could not be found: the search for the most likely worths did not settle"})
		return r, nil
	}
	z := dist.NormalQuantile((1 + level) / 2)
	for j, w := range r.Worth {
		r.SE[j] = math.Sqrt(covariance.At(j, j))
		slope := mat.NewVecDense(k, nil) // of the log odds
		for i := range k {
			slope.SetVec(i, -r.Worth[i]/(1-w))
		}
		slope.SetVec(j, 1)
		middle, reach := math.Log(w/(1-w)), z*math.Sqrt(mat.Inner(slope, covariance, slope))
		r.CI[j].Lo, r.CI[j].Hi = 1/(1+math.Exp(reach-middle)), 1/(1+math.Exp(-reach-middle))
	}
	return r, nil
}

// ordersOf are the samples of each row from the first place on.
func ordersOf(rows [][]float64) ([][]int, error) {
	orders := make([][]int, len(rows))
	for i, row := range rows {
		order := make([]int, len(rows[0]))
		for j := range order {
			order[j] = -1
		}
		for j, place := range row {
			at := int(place) - 1
			if len(row) != len(order) || float64(at+1) != place || at < 0 || at >= len(order) || order[at] >= 0 {
				return nil, fmt.Errorf("row %d is no order of %d samples", i+1, len(order))
			}
			order[at] = j
		}
		orders[i] = order
	}
	return orders, nil
}

// connected reports whether from every sample a chain leads to every other along which
// somebody puts each before the next.
func connected(orders [][]int, k int) bool {
	before := make([][]bool, k)
	for j := range before {
		before[j] = make([]bool, k)
	}
	for _, order := range orders {
		for p, j := range order {
			for _, i := range order[p+1:] {
				before[j][i] = true
			}
		}
	}
	for via := range k {
		for a := range k {
			for b := range k {
				before[a][b] = before[a][b] || before[a][via] && before[via][b]
			}
		}
	}
	for a := range k {
		for b := range k {
			if a != b && !before[a][b] {
				return false
			}
		}
	}
	return true
}

// fit maximises the likelihood, which is concave, and returns the covariance of the logarithms.
func (r *WorthsResult) fit(orders [][]int) (*mat.SymDense, bool) {
	const mostSteps = 100
	k := r.K
	at := make([]float64, k)
	height, slope, information := likelihoodOfOrders(orders, at)
	for range mostSteps {
		for a := range k { // all logarithms might be higher by the same: their sum is kept
			for b := a; b < k; b++ {
				information.SetSym(a, b, information.At(a, b)+1)
			}
		}
		var factor mat.Cholesky
		var step mat.VecDense
		if !factor.Factorize(information) || factor.SolveVecTo(&step, slope) != nil {
			return nil, false
		}
		if gain := mat.Dot(&step, slope); gain < 1e-22*float64(r.N) {
			var covariance mat.SymDense
			if factor.InverseTo(&covariance) != nil {
				return nil, false
			}
			for a := range k {
				for b := a; b < k; b++ {
					covariance.SetSym(a, b, covariance.At(a, b)-1/float64(k*k))
				}
			}
			r.take(at, height)
			return &covariance, true
		}
		part := 1.0
		for ; part > 1e-9; part /= 2 {
			next := make([]float64, k)
			for j := range next {
				next[j] = at[j] + part*step.AtVec(j)
			}
			h, s, i := likelihoodOfOrders(orders, next)
			if h >= height-1e-12*math.Abs(height) {
				at, height, slope, information = next, h, s, i
				break
			}
		}
		if part <= 1e-9 {
			return nil, false
		}
	}
	return nil, false
}

func (r *WorthsResult) take(at []float64, height float64) {
	r.LogLikelihood = height
	sum := 0.0
	mean := stats.Mean(at)
	for j, v := range at {
		r.Log[j] = v - mean
		r.Worth[j] = math.Exp(r.Log[j])
		sum += r.Worth[j]
	}
	for j := range r.Worth {
		r.Worth[j] /= sum
	}
}

// likelihoodOfOrders is the logarithm of the likelihood with its slope, and minus its curvature.
func likelihoodOfOrders(orders [][]int, at []float64) (height float64, slope *mat.VecDense, information *mat.SymDense) {
	k := len(at)
	slope, information = mat.NewVecDense(k, nil), mat.NewSymDense(k, nil)
	for _, order := range orders {
		for p := range k - 1 {
			left := order[p:]
			sum := 0.0
			for _, j := range left {
				sum += math.Exp(at[j])
			}
			height += at[order[p]] - math.Log(sum)
			slope.SetVec(order[p], slope.AtVec(order[p])+1)
			for x, a := range left {
				chance := math.Exp(at[a]) / sum
				slope.SetVec(a, slope.AtVec(a)-chance)
				information.SetSym(a, a, information.At(a, a)+chance)
				for _, b := range left[x:] {
					information.SetSym(a, b, information.At(a, b)-chance*math.Exp(at[b])/sum)
				}
			}
		}
	}
	return height, slope, information
}
