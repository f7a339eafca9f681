package size

import (
	"fmt"
	"math"
	"math/rand/v2"

	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/numeric"
	"cloche/internal/stats/ranks"
)

// SimulatedTest is a test of paired samples whose power is simulated.
type SimulatedTest int

// The tests that [SimulatePower] knows.
const (
	SimulateT SimulatedTest = iota
	SimulateSignedRank
	SimulateSign
)

// SimulationDesign is a simulated study of paired samples: n differences,
// normal with mean Effect and standard deviation 1.
type SimulationDesign struct {
	Test        SimulatedTest
	N           int
	Effect      float64           // mean difference over the SD of the differences
	Step        float64           // differences are rounded to this step, in SDs, as on a scale; 0 means not
	Alpha       float64           // 0 means 0.05
	Alternative stats.Alternative // side of the test
	Replicates  int               // simulated studies; 0 means 10,000
	Seed        uint64
}

// SimulatedPower is the share of simulated studies that reject.
type SimulatedPower struct {
	Power       float64
	CI          stats.Interval // Wilson, 95 %: the error of simulating
	Replicates  int
	Assumptions []string
	Warnings    []stats.Warning
}

const (
	replicatesPerStream = 1024
	// exactWhenSimulated bounds the exact signed-rank test in simulations:
	// beyond it the corrected normal approximation decides alike but for a few
	// in ten thousand.
	exactWhenSimulated = 60
)

// SimulatePower returns the power of a test of paired samples by simulation,
// for tests without a closed form or for ratings in steps. A study in which
// the test cannot be computed does not reject. Errors: [ErrDesign].
func SimulatePower(d SimulationDesign) (SimulatedPower, error) {
	if d.Alpha == 0 {
		d.Alpha = 0.05
	}
	if d.Replicates == 0 {
		d.Replicates = 10_000
	}
	if d.N < 2 || d.Replicates < 1 || stats.CheckLevel(d.Alpha) != nil ||
		stats.CheckFinite([]float64{d.Effect, d.Step}) != nil || d.Step < 0 {
		return SimulatedPower{}, ErrDesign
	}
	reject := d.rejects()
	streams := (d.Replicates + replicatesPerStream - 1) / replicatesPerStream
	counts := make([]int, streams)
	numeric.InParallel(streams, func(stream int) {
		random := rand.New(rand.NewPCG(d.Seed, uint64(stream)))
		x := make([]float64, d.N)
		for range min(replicatesPerStream, d.Replicates-stream*replicatesPerStream) {
			d.draw(random, x)
			if reject(x) {
				counts[stream]++
			}
		}
	})
	hits := 0
	for _, c := range counts {
		hits += c
	}
	return SimulatedPower{Power: float64(hits) / float64(d.Replicates),
		CI:         choice.WilsonInterval(hits, d.Replicates, stats.DefaultLevel),
		Replicates: d.Replicates,
		Assumptions: []string{"the differences of independent assessors are normal" + d.rounding(),
			fmt.Sprintf("the true standardised effect is %.3g", d.Effect)},
		Warnings: []stats.Warning{{Code: stats.WarnSimulated,
			Text: fmt.Sprintf("the power comes from %d simulated studies", d.Replicates)}}}, nil
}

func (d SimulationDesign) rounding() string {
	if d.Step == 0 {
		return ""
	}
	return fmt.Sprintf(", rounded to steps of %.3g standard deviations", d.Step)
}

func (d SimulationDesign) draw(r *rand.Rand, x []float64) {
	for i := range x {
		x[i] = d.Effect + r.NormFloat64()
	}
	if d.Step > 0 {
		for i := range x {
			x[i] = math.Round(x[i] / d.Step)
		}
	}
}

// rejects returns the decision rule of the test, safe for use by several
// goroutines.
func (d SimulationDesign) rejects() func(x []float64) bool {
	switch d.Test {
	case SimulateSign:
		return d.signRejects
	case SimulateSignedRank:
		return d.signedRankRejects
	}
	tail := d.Alpha
	if d.Alternative == stats.TwoSided {
		tail /= 2
	}
	critical := dist.TQuantile(1-tail, float64(d.N-1))
	return func(x []float64) bool { return d.tRejects(x, critical) }
}

func (d SimulationDesign) tRejects(x []float64, critical float64) bool {
	n := float64(len(x))
	m := 0.0
	for _, v := range x {
		m += v
	}
	m /= n
	ss := 0.0
	for _, v := range x {
		ss += (v - m) * (v - m)
	}
	if ss == 0 {
		return false
	}
	t := m * math.Sqrt(n*(n-1)/ss)
	switch d.Alternative {
	case stats.Greater:
		return t >= critical
	case stats.Less:
		return t <= -critical
	}
	return math.Abs(t) >= critical
}

func (d SimulationDesign) signRejects(x []float64) bool {
	up, n := 0, 0
	for _, v := range x {
		if v > 0 {
			up++
		}
		if v != 0 {
			n++
		}
	}
	return n > 0 && dist.BinomialPValue(up, n, 0.5, d.Alternative) <= d.Alpha
}

func (d SimulationDesign) signedRankRejects(x []float64) bool {
	r := ranks.SignedRankOf(x, ranks.SignedRankOptions{Alternative: d.Alternative, ExactMax: exactWhenSimulated})
	return r.P <= d.Alpha // never when every difference is 0: P is then NaN
}
