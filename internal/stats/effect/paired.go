package effect

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/ttest"
)

// PairedSizes are the effect sizes of x against y, rated by the same
// assessors. What cannot be computed is NaN and a warning says why.
type PairedSizes struct {
	N                    int
	Difference           Size    // mean of x − y in scale points, with the t interval
	Dz, Gz               Size    // standardised by the SD of the differences; see [CohenDz]; Gz is J·Dz
	J, JApprox           float64 // Hedges' correction at n−1 df: exact, and 1 − 3/(4·df − 1)
	Dav, Gav             float64 // standardised by the mean of the two SDs (Cumming 2012; Lakens 2013, eq. 10)
	DavRootMeanSquare    float64 // standardised by the root mean square of the two SDs
	Drm, Grm             float64 // d_z·√(2(1−r)) (Morris & DeShon 2002; Lakens 2013, eq. 9)
	RankBiserial         Size    // see [RankBiserial]
	Superiority          float64 // share of pairs with x above y, equal pairs half
	CommonLanguageNormal float64 // Φ(d_z): P(x > y) if differences are normal (McGraw & Wong 1992)
	Warnings             []stats.Warning
}

// Paired computes every effect size of paired samples at one confidence
// level (Lakens 2013, Front. Psychol. 4:863, for the family of d). Errors:
// [stats.ErrUnequalLengths], [stats.ErrEmpty], [stats.ErrNotFinite], [stats.ErrLevel].
func Paired(x, y []float64, level float64) (PairedSizes, error) {
	t, err := ttest.Paired(x, y, ttest.PairedOptions{Level: level})
	if err != nil {
		return PairedSizes{}, err
	}
	rank, err := RankBiserial(x, y, level)
	if err != nil {
		return PairedSizes{}, err
	}
	df := float64(t.N - 1)
	e := PairedSizes{N: t.N, Difference: Size{Value: t.Diff, CI: t.CI},
		Dz: cohenDz(t.N, t.Diff, t.SD, t.CI.Level), J: HedgesJ(df), JApprox: 1 - 3/(4*df-1),
		RankBiserial: rank, Warnings: t.Warnings}
	e.Gz = e.Dz.times(e.J)
	if t.N < 2 {
		e.JApprox = math.NaN()
	}
	e.averaged(x, y, t)
	_, d, err := stats.Differences(x, y)
	if err != nil {
		return PairedSizes{}, err
	}
	e.Superiority = superiorityOfPairs(d)
	e.CommonLanguageNormal = dist.NormalCDF(e.Dz.Value)
	return e, nil
}

// averaged fills the effects that are standardised by the two samples' own
// spread, NaN where there is none.
func (e *PairedSizes) averaged(x, y []float64, t ttest.PairedResult) {
	sx, sy := stats.SDUnlessConstant(x, x), stats.SDUnlessConstant(y, y)
	nan := math.NaN()
	e.Dav, e.DavRootMeanSquare = nan, nan
	if sx+sy > 0 {
		e.Dav = t.Diff / ((sx + sy) / 2)
		e.DavRootMeanSquare = t.Diff / math.Sqrt((sx*sx+sy*sy)/2)
	}
	e.Gav = e.J * e.Dav
	e.Drm = e.Dz.Value * math.Sqrt(2*(1-t.R))
	e.Grm = e.J * e.Drm
}

func superiorityOfPairs(d []float64) float64 {
	wins := 0.0
	for _, v := range d {
		switch {
		case v > 0:
			wins++
		case v == 0:
			wins += 0.5
		}
	}
	return wins / float64(len(d))
}

// RankBiserial returns the matched-pairs rank-biserial correlation
// (W₊ − W₋)/(W₊ + W₋) of the signed ranks of x − y, zeros dropped (Kerby 2014,
// Compr. Psychol. 3:11.IT.3.1). The interval is Fisher's z with the standard
// error of the untied null distribution, √((2n³+3n²+n)/6)/((n²+n)/2): rough
// for small n. At 1 or −1 it would shrink to a point, and is absent with a
// warning; so is the value when every difference is 0.
func RankBiserial(x, y []float64, level float64) (Size, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return Size{}, err
	}
	_, d, err := stats.Differences(x, y)
	if err != nil {
		return Size{}, err
	}
	r := ranks.SignedRankOf(d, ranks.SignedRankOptions{Zeros: ranks.WilcoxonZeros, ExactMax: -1})
	if r.NUsed == 0 {
		return noEffect(level, stats.AllSame()), nil
	}
	n := float64(r.NUsed)
	value := (r.WPlus - r.WMinus) / (r.WPlus + r.WMinus)
	se := math.Sqrt((2*n*n*n+3*n*n+n)/6) / ((n*n + n) / 2)
	return fisherInterval(value, se, level), nil
}

// fisherInterval is tanh(atanh(value) ± z·se), absent at ±1.
func fisherInterval(value, se, level float64) Size {
	e := Size{Value: value, CI: stats.NoInterval(level)}
	if math.Abs(value) >= 1 {
		e.Warnings = []stats.Warning{{Code: stats.WarnOneSidedData,
			Text: "all ratings point the same way, so this coefficient has no interval of the usual kind"}}
		return e
	}
	half := dist.NormalQuantile((1+level)/2) * se
	e.CI = stats.Interval{Lo: math.Tanh(math.Atanh(value) - half), Hi: math.Tanh(math.Atanh(value) + half),
		Level: level}
	return e
}
