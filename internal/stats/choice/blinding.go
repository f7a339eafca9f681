package choice

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// Guesses count guesses of which of two arms somebody was in, where everybody was in one: by
// what was guessed (arm 1, arm 2, not known) and by the true arm.
type Guesses [3][2]int

// BangIndex is Bang's index of blinding of one arm: the share who guessed right less the share
// who guessed wrong, of all there. 0 is guessing, 1 that all know, below 0 that more take
// themselves to be in the other arm.
type BangIndex struct {
	N                            int
	Estimate, SE                 float64        // NaN where nobody is in the arm
	CI                           stats.Interval // normal, two-sided
	LowerOneSided, UpperOneSided float64        // of the one-sided intervals of the same level
}

// JamesIndex is James's index of blinding of both arms together: 1 that nobody knows, ½
// guessing at random, 0 that all know.
type JamesIndex struct {
	Estimate, SE float64 // NaN where nobody guesses, or all guess and are in one arm
	CI           stats.Interval
}

// BlindingResult is the outcome of [Blinding].
type BlindingResult struct {
	N           int
	Bang        [2]BangIndex
	James       JamesIndex
	Unknown     float64 // share who did not know
	RightOfSaid float64 // share right of those who guessed; NaN where nobody did
	FisherP     float64 // two-sided, of guess and arm among those who guessed
}

// Blinding says whether people who were each in one of two arms knew in which: Bang's index of
// each arm (Bang, Ni & Davis 2004, Control. Clin. Trials 25:143), with the variance of a score
// of +1, −1 or 0; and James's index (James et al. 1996, Stat. Med. 15:1421, cited from memory)
// with weights 0 for right, ½ for wrong and 1 for not known, its standard error by the delta
// method on multinomial counts. Intervals are normal: rough below twenty people an arm.
//
// Errors: [stats.ErrCounts], [stats.ErrEmpty], [stats.ErrLevel].
func Blinding(g Guesses, level float64) (BlindingResult, error) {
	level, err := stats.LevelOr95(level)
	if err != nil {
		return BlindingResult{}, err
	}
	r := BlindingResult{}
	for _, row := range g {
		for _, count := range row {
			if count < 0 {
				return BlindingResult{}, stats.ErrCounts
			}
			r.N += count
		}
	}
	if r.N == 0 {
		return BlindingResult{}, stats.ErrEmpty
	}
	said := g[0][0] + g[0][1] + g[1][0] + g[1][1]
	r.Unknown = float64(r.N-said) / float64(r.N)
	r.RightOfSaid = float64(g[0][0]+g[1][1]) / float64(said)
	r.Bang = [2]BangIndex{bang(g[0][0], g[1][0], g[2][0], level), bang(g[1][1], g[0][1], g[2][1], level)}
	r.James = g.james(float64(r.N), level)
	r.FisherP = fisherTwoSided(g[0][0], g[0][1], g[1][0], g[1][1])
	return r, nil
}

func bang(right, wrong, unknown int, level float64) BangIndex {
	n := float64(right + wrong + unknown)
	p, q := float64(right)/n, float64(wrong)/n
	b := BangIndex{N: right + wrong + unknown, Estimate: p - q}
	b.SE = math.Sqrt(max(0, p*(1-p)+q*(1-q)+2*p*q) / n)
	half, oneSided := dist.NormalQuantile((1+level)/2)*b.SE, dist.NormalQuantile(level)*b.SE
	b.CI = stats.Interval{Lo: b.Estimate - half, Hi: b.Estimate + half, Level: level}
	b.LowerOneSided, b.UpperOneSided = b.Estimate-oneSided, b.Estimate+oneSided
	return b
}

// james is J = D/N + W·G²/(2NS), to which the index comes down: D do not know, G guess, W of
// them wrong, and S is the sum over the two arms of those in it times those who guess the other.
func (g Guesses) james(n, level float64) JamesIndex {
	guessed, arm := [2]float64{}, [2]float64{}
	for i := range 2 {
		for j := range 2 {
			guessed[i] += float64(g[i][j])
			arm[j] += float64(g[i][j])
		}
	}
	all, unknown, wrong := guessed[0]+guessed[1], float64(g[2][0]+g[2][1]), float64(g[0][1]+g[1][0])
	cross := guessed[0]*arm[1] + guessed[1]*arm[0]
	scale := all * all / (2 * n * cross)
	said := wrong * scale
	j := JamesIndex{Estimate: unknown/n + said}
	variance := unknown * square(1/n-unknown/n/n-said/n)
	for i := range 2 {
		for k := range 2 {
			d := said*(2/all-1/n-(arm[1-i]+guessed[1-k])/cross) - unknown/n/n
			if i != k {
				d += scale
			}
			variance += float64(g[i][k]) * square(d)
		}
	}
	j.SE = math.Sqrt(variance)
	half := dist.NormalQuantile((1+level)/2) * j.SE
	j.CI = stats.Interval{Lo: j.Estimate - half, Hi: j.Estimate + half, Level: level}
	return j
}

func square(x float64) float64 { return x * x }

// fisherTwoSided is the probability, with the margins of a table of two by two as they are, of
// a table no likelier than this one; NaN where a margin is empty.
func fisherTwoSided(a, b, c, d int) float64 {
	first, second, yes := a+b, c+d, a+c
	if first == 0 || second == 0 || yes == 0 || b+d == 0 {
		return math.NaN()
	}
	logProbability := func(x int) float64 { return logChoose(first, x) + logChoose(second, yes-x) }
	total, tail, at := 0., 0., logProbability(a)
	for x := max(0, yes-second); x <= min(first, yes); x++ {
		p := math.Exp(logProbability(x) - at)
		total += p
		if p <= 1+1e-7 { // ties are off by rounding
			tail += p
		}
	}
	return tail / total
}
