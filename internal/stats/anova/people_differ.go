package anova

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// PeopleDifferResult is the outcome of [PeopleDiffer].
type PeopleDifferResult struct {
	N, Replicates int
	Mean          float64
	CI            stats.Interval // of the mean over people
	F, DF1, DF2   float64
	P             float64 // that people do not differ: F test; NaN when nothing varies

	SDPeople    float64        // of the true effects of people; 0 where they scatter no more than noise makes them
	SDPeopleCI  stats.Interval // with the noise taken as found
	SDReplicate float64        // of one difference of the same person: noise
	ICC         float64        // share of the variance of one difference that lies between people; below 0 it is none
	ICCCI       stats.Interval // exact when normal; may reach below 0

	SharePositive float64        // of people whose true effect is above 0, if they are normal; NaN at SDPeople 0
	RangeOfPeople stats.Interval // that holds 95 % of the true effects, if they are normal
	Shrunken      []float64      // each person's effect, drawn towards the mean of all
	ShrunkenHalf  []float64      // half the interval of each, see Own; none without spread or noise
	AgreeInSign   int            // people all of whose differences have one sign
}

// middleOfPeople is the normal quantile of the 95 % in [PeopleDifferResult.RangeOfPeople].
var middleOfPeople = dist.NormalQuantile(0.975)

// PeopleDiffer asks whether people differ in an effect: differences[i] are those of person
// i between two samples, each of a fresh pair of servings, as many for everybody.
//
// The model is d = μ + a + e, with a of each person's own and e of each pair, both normal:
// F is the mean square between people over that within them. The interval of the share of
// the variance is exact (Searle 1971, Linear Models, ch. 9). From one difference each the
// two variances cannot be told apart (Senn 2016, Stat. Med. 35:966, cited from memory):
// that is [stats.ErrShape]. When nothing varies within people, F is +Inf; when nothing
// varies at all, F and P are NaN. Other errors: those of [stats.CheckTable].
func PeopleDiffer(differences [][]float64, level float64) (PeopleDifferResult, error) {
	level, errLevel := stats.LevelOr95(level)
	n, k, err := stats.CheckTable(differences)
	if err = errors.Join(err, errLevel); err != nil {
		return PeopleDifferResult{}, err
	}
	r := PeopleDifferResult{N: n, Replicates: k, DF1: float64(n - 1), DF2: float64(n * (k - 1)), P: math.NaN()}
	means := make([]float64, n)
	within, size := 0.0, 0.0
	for i, row := range differences {
		means[i] = stats.Mean(row)
		up, down := 0, 0
		for _, d := range row {
			within += (d - means[i]) * (d - means[i])
			size += d * d
			up, down = up+count(d > 0), down+count(d < 0)
		}
		r.AgreeInSign += count(up == k || down == k)
	}
	r.Mean = stats.Mean(means)
	between := 0.0
	for _, m := range means {
		between += float64(k) * (m - r.Mean) * (m - r.Mean)
	}
	r.finish(means, noVariation(between, size)/r.DF1, noVariation(within, size)/r.DF2, level)
	return r, nil
}

func count(is bool) int {
	if is {
		return 1
	}
	return 0
}

// noVariation is 0 for a sum of squares that is rounding of equal values.
func noVariation(ss, of float64) float64 {
	if ss <= stats.RoundingShare*of {
		return 0
	}
	return ss
}

// finish fills what follows from the mean squares between and within people.
func (r *PeopleDifferResult) finish(means []float64, between, within, level float64) {
	n, k, tail := float64(r.N), float64(r.Replicates), (1-level)/2
	half := dist.TQuantile(1-tail, r.DF1) * math.Sqrt(between/(n*k))
	r.CI = stats.Interval{Lo: r.Mean - half, Hi: r.Mean + half, Level: level}
	r.SDPeople, r.SDReplicate = math.Sqrt(max(0, (between-within)/k)), math.Sqrt(within)
	r.F = between / within
	r.ICC, r.SharePositive = math.NaN(), math.NaN()
	r.ICCCI, r.SDPeopleCI = stats.NoInterval(level), stats.NoInterval(level)
	switch {
	case math.IsNaN(r.F):
	case math.IsInf(r.F, 1):
		r.ICC, r.P = 1, 0
	default:
		r.P, r.ICC = dist.FSurvival(r.F, r.DF1, r.DF2), r.correlation(r.F)
		r.ICCCI.Lo = r.correlation(r.F / distuv.F{D1: r.DF1, D2: r.DF2}.Quantile(1-tail))
		r.ICCCI.Hi = r.correlation(r.F * distuv.F{D1: r.DF2, D2: r.DF1}.Quantile(1-tail))
		spread := func(icc float64) float64 { return math.Sqrt(max(0, icc/(1-icc))) * r.SDReplicate }
		r.SDPeopleCI.Lo, r.SDPeopleCI.Hi = spread(r.ICCCI.Lo), spread(r.ICCCI.Hi)
	}
	keep := 0.0
	if r.SDPeople > 0 {
		keep = r.SDPeople * r.SDPeople / (r.SDPeople*r.SDPeople + within/k)
		r.SharePositive = 1 - dist.NormalCDF(-r.Mean/r.SDPeople)
	}
	for _, m := range means {
		r.Shrunken = append(r.Shrunken, r.Mean+keep*(m-r.Mean))
	}
	if keep > 0 && keep < 1 {
		r.ownHalves(means, within/k, keep, dist.TQuantile(1-tail, r.DF1))
	}
	reach := middleOfPeople * r.SDPeople
	r.RangeOfPeople = stats.Interval{Lo: r.Mean - reach, Hi: r.Mean + reach, Level: 0.95}
}

// ownHalves fills half the interval of each person's own effect. Its variance is that of
// empirical Bayes, noise being that of a person's mean: what is left when both variances are
// as found, that of the mean of all included, and a part for not knowing how far to shrink,
// which is larger for who lies far out (Morris 1983, J. Am. Stat. Assoc. 78:47, from memory).
// With the quantile of t for as many people it holds the truth as often as stated, or a
// percent or two less often where noise is as large as what is theirs.
func (r *PeopleDifferResult) ownHalves(means []float64, noise, keep, quantile float64) {
	n, shrunk := float64(r.N), 1-keep
	for _, m := range means {
		left := noise * (1 - (n-1)/n*shrunk)
		if n > 3 {
			left += 2 / (n - 3) * shrunk * shrunk * (m - r.Mean) * (m - r.Mean)
		}
		r.ShrunkenHalf = append(r.ShrunkenHalf, quantile*math.Sqrt(left))
	}
}

// Own is the interval of the own effect of the person at i, where there is one: over all
// people it holds the truth about as often as stated.
func (r *PeopleDifferResult) Own(i int) stats.Interval {
	half := r.ShrunkenHalf[i]
	return stats.Interval{Lo: r.Shrunken[i] - half, Hi: r.Shrunken[i] + half, Level: r.CI.Level}
}

// correlation is the share of the variance between people that goes with a ratio of mean
// squares.
func (r *PeopleDifferResult) correlation(f float64) float64 {
	return (f - 1) / (f + float64(r.Replicates) - 1)
}

// PeopleDifferPower is the chance that [PeopleDiffer] finds at alpha that n people differ
// who give so many differences each, when the share icc of the variance of one difference
// lies between them: F/(1 + r·icc/(1 − icc)) is F distributed. NaN outside 0 ≤ icc < 1,
// below two people and below two differences.
func PeopleDifferPower(n, replicates int, icc, alpha float64) float64 {
	if n < 2 || replicates < 2 || !(icc >= 0 && icc < 1) || !(alpha > 0 && alpha < 1) {
		return math.NaN()
	}
	df1, df2 := float64(n-1), float64(n*(replicates-1))
	limit := distuv.F{D1: df1, D2: df2}.Quantile(1 - alpha)
	return dist.FSurvival(limit/(1+float64(replicates)*icc/(1-icc)), df1, df2)
}
