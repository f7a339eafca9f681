package size

import (
	"math"
	"math/rand/v2"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ranks"
)

// PanelTest is a test of all samples whose power is simulated.
type PanelTest int

// The tests that [SimulatePanel] knows.
const (
	SimulateFriedman PanelTest = iota
	SimulateRMAnova            // with Greenhouse and Geisser's correction
)

// SimulatePanel returns the power of a test of samples that each of n assessors rated, all
// of them, by simulation: ratings are normal and spherical, see [PanelDesign] for the
// truth. Friedman's test is of ranks without ties. replicates 0 means 10,000. Errors:
// [ErrDesign].
func SimulatePanel(n, replicates int, seed uint64, test PanelTest, design PanelDesign) (SimulatedPower, error) {
	d, err := design.checked()
	if replicates == 0 {
		replicates = 10_000
	}
	if err != nil || n < 2 || d.Each != d.Samples || replicates < 1 {
		return SimulatedPower{}, ErrDesign
	}
	rejects := d.friedmanRejects(n)
	if test == SimulateRMAnova {
		rejects = d.geisserRejects(n)
	}
	hits := replicated(replicates, seed, func(r *rand.Rand) func() []bool {
		x := make([]float64, n*d.Samples)
		decide := rejects()
		return func() []bool {
			d.draw(r, x)
			return []bool{decide(x)}
		}
	})
	return simulatedShare(hits[0], replicates), nil
}

// draw fills a table, row by row, with ratings in units of the SD of a difference.
func (d PanelDesign) draw(r *rand.Rand, x []float64) {
	for i := range x {
		x[i] = r.NormFloat64() / math.Sqrt2
	}
	for i := 0; i < len(x); i += d.Samples {
		x[i] -= d.Effect / 2
		x[i+1] += d.Effect / 2
	}
}

// friedmanRejects makes decision rules, each for one goroutine.
func (d PanelDesign) friedmanRejects(n int) func() func(x []float64) bool {
	critical, _ := ranks.FriedmanCritical(n, d.Samples, d.Alpha)
	return func() func(x []float64) bool {
		sums := make([]int, d.Samples)
		return func(x []float64) bool {
			for a := range sums {
				sums[a] = n
			}
			for i := 0; i < len(x); i += d.Samples {
				row := x[i : i+d.Samples]
				for a, v := range row {
					for b := a + 1; b < len(row); b++ {
						// 1 where v < row[b]; a branch would be guessed wrong
						below := int(math.Float64bits(v-row[b]) >> 63)
						sums[a] += 1 - below
						sums[b] += below
					}
				}
			}
			squares := 0.0
			for _, v := range sums {
				squares += float64(v * v)
			}
			return ranks.FriedmanChiSquared(squares, n, d.Samples) >= critical-1e-9
		}
	}
}

// geisserRejects makes decision rules of the repeated-measures F with its degrees of
// freedom times Greenhouse and Geisser's ε, as [anova.Repeated] has it.
func (d PanelDesign) geisserRejects(n int) func() func(x []float64) bool {
	k := d.Samples
	return func() func(x []float64) bool {
		mean, row, c := make([]float64, k), make([]float64, k), make([]float64, k*k)
		return func(x []float64) bool {
			clear(mean)
			clear(c)
			for i := 0; i < len(x); i += k {
				center(x[i : i+k])
				for a, v := range x[i : i+k] {
					mean[a] += v / float64(n)
				}
			}
			for i := 0; i < len(x); i += k {
				for a, v := range x[i : i+k] {
					row[a] = v - mean[a]
				}
				for a, v := range row {
					for b := range a + 1 {
						c[a*k+b] += v * row[b]
					}
				}
			}
			return d.geisser(n, mean, c) <= d.Alpha
		}
	}
}

func center(row []float64) {
	m := stats.Mean(row)
	for i := range row {
		row[i] -= m
	}
}

// geisser is the corrected p from the centred means and the lower triangle of the cross-products.
func (d PanelDesign) geisser(n int, mean, c []float64) float64 {
	k := d.Samples
	trace, square := 0.0, 0.0
	for a := range k {
		trace += c[a*k+a]
		square += c[a*k+a] * c[a*k+a]
		for b := range a {
			square += 2 * c[a*k+b] * c[a*k+b]
		}
	}
	df1 := float64(k - 1)
	epsilon := trace * trace / (df1 * square)
	f := float64(n) * stats.SumOfSquares(mean) * float64(n-1) / trace
	return dist.FSurvival(f, epsilon*df1, epsilon*df1*float64(n-1))
}
