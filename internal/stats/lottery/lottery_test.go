package lottery

import (
	"math"
	"math/rand/v2"
	"testing"
)

// orders is a lottery in which blocks of assessors get rows, each once where the block is
// as long as the rows, in any order.
type orders struct {
	rows   [][]int32
	block  []int
	random *rand.Rand
}

func (o orders) Next() (sample []int32) {
	for _, n := range o.block {
		for _, k := range o.random.Perm(n) {
			sample = append(sample, o.rows[k%len(o.rows)]...)
		}
	}
	return sample
}

func (o orders) Every(most int, use func([]int32, float64)) bool {
	count := 1
	for _, n := range o.block {
		for k := range n {
			if count *= k + 1; count > most { // too many to make them only to see that they are
				return false
			}
		}
	}
	plans := []([]int32){nil}
	for _, n := range o.block {
		var longer [][]int32
		for _, p := range plans {
			for _, order := range permutations(n) {
				next := append([]int32{}, p...)
				for _, k := range order {
					next = append(next, o.rows[k%len(o.rows)]...)
				}
				longer = append(longer, next)
			}
		}
		plans = longer
	}
	for _, p := range plans {
		use(p, 1/float64(len(plans)))
	}
	return true
}

func permutations(n int) (all [][]int) {
	if n == 0 {
		return [][]int{nil}
	}
	for _, p := range permutations(n - 1) {
		for at := range n {
			q := append(append(append([]int{}, p[:at]...), n-1), p[at:]...)
			all = append(all, q)
		}
	}
	return all
}

// two is a trial of two samples in blocks, with ratings by position.
func two(ratings [][2]float64, served [][2]int32) (t Trial) {
	t.First, t.Second = 1, 2
	for i, row := range ratings {
		for j, v := range row {
			t.Value = append(t.Value, v)
			t.Assessor = append(t.Assessor, i)
			t.Sample = append(t.Sample, served[i][j])
		}
	}
	return t
}

func drawTwo(random *rand.Rand, n int) Trial {
	ratings, served := make([][2]float64, n), make([][2]int32, n)
	for i := range n {
		ratings[i] = [2]float64{float64(random.IntN(9)), float64(random.IntN(9))}
		served[i] = [2]int32{1, 2}
		if i%2 == 1 {
			served[i] = [2]int32{2, 1}
		}
	}
	return two(ratings, served)
}

var blocksOfTwo = [][]int32{{1, 2}, {2, 1}}

// What coins find is what draws of the same lottery find, with and without the standard
// error, exactly.
func TestSwapsAreDraws(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 40 {
		n := 2 * (2 + random.IntN(4))
		trial := drawTwo(random, n)
		o := orders{blocksOfTwo, nil, random}
		s := Swapped{Draws: 10_000}
		for i := 0; i < n; i += 2 {
			o.block = append(o.block, 2)
			s.Sets = append(s.Sets, []int{i, i + 1})
		}
		for i := range n {
			d := trial.Value[2*i] - trial.Value[2*i+1]
			if i%2 == 1 {
				d = -d
			}
			s.Differences = append(s.Differences, d)
		}
		got, err := s.Test()
		if err != nil {
			t.Fatal(err)
		}
		plain := trial
		plain.Plain = true
		all, err := Test(o, 10_000, trial, plain)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range all {
			same(t, "greater", got.Greater, want.Greater)
			same(t, "less", got.Less, want.Less)
			same(t, "two-sided", got.TwoSided, want.TwoSided)
			same(t, "difference", got.Difference, want.Difference)
			for _, level := range []float64{0.5, 0.8, 0.9} {
				a, b := got.Interval(level), want.Interval(level)
				same(t, "low", a.Lo, b.Lo)
				same(t, "high", a.Hi, b.Hi)
			}
			if got.Fixed != want.Fixed || got.N != want.N || !got.Exact || !want.Exact {
				t.Errorf("got %+v, want %+v", got, want)
			}
		}
		same(t, "statistic", got.Statistic, all[0].Statistic)
	}
}

func same(t *testing.T, what string, got, want float64) {
	t.Helper()
	if got != want && !(math.Abs(got-want) <= 1e-9*(1+math.Abs(want))) && !(math.IsNaN(got) && math.IsNaN(want)) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

// A shift is in the interval just when neither one-sided test refuses it: each end is
// tested again a little inside and outside, with every kind of statistic.
func TestIntervalIsTheTestTurnedRound(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for round := range 60 {
		rows, n := blocksOfTwo, 6
		if round%3 == 1 {
			rows = [][]int32{{1, 2, 3}, {2, 3, 1}, {3, 1, 2}}
		}
		o := orders{rows, []int{n}, random}
		trial := Trial{First: 1, Second: 2, Plain: round%2 == 0, Groups: round%3 == 2}
		if trial.Groups {
			rows, o.rows = [][]int32{{1}, {2}}, [][]int32{{1}, {2}}
		}
		sample := o.Next()
		trial.Sample = append([]int32{}, sample...)
		for i := range sample {
			trial.Assessor = append(trial.Assessor, i/len(rows[0]))
			v := float64(random.IntN(30))
			if random.IntN(12) == 0 && len(rows) == 3 {
				v = math.NaN()
			}
			trial.Value = append(trial.Value, v)
		}
		const level = 0.8
		results, err := Test(o, 800, trial)
		if err != nil {
			t.Fatal(err)
		}
		if math.IsNaN(results[0].Greater) {
			continue
		}
		ci := results[0].Interval(level)
		for _, end := range []struct{ at, inward float64 }{{ci.Lo, 1e-6}, {ci.Hi, -1e-6}} {
			if math.IsInf(end.at, 0) {
				continue
			}
			for _, by := range []float64{end.inward, -end.inward} {
				greater, less := shiftedP(t, o, trial, end.at+by)
				kept := greater > 0.1+1e-9 && less > 0.1+1e-9
				if kept != (by == end.inward) {
					t.Errorf("round %d, %v: shift %v has p %v and %v", round, ci, end.at+by, greater, less)
				}
			}
		}
	}
}

func shiftedP(t *testing.T, o orders, trial Trial, shift float64) (greater, less float64) {
	values := append([]float64{}, trial.Value...)
	for i, x := range trial.Sample {
		if x == trial.First {
			values[i] -= shift
		}
	}
	trial.Value = values
	results, err := Test(o, 800, trial)
	if err != nil {
		t.Fatal(err)
	}
	return results[0].Greater, results[0].Less
}

// Draws at random come near what all draws give, and the same ones give the same.
func TestRandomDrawsComeNear(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	n := 16
	trial := drawTwo(random, n)
	s := Swapped{Seed: 7}
	for i := range n {
		d := trial.Value[2*i] - trial.Value[2*i+1] + 2
		s.Differences = append(s.Differences, d)
		if i%2 == 0 {
			s.Sets = append(s.Sets, []int{i, i + 1})
		}
	}
	s.Draws = 1 << 8
	all, err := s.Test()
	if err != nil || !all.Exact {
		t.Fatal(err, all)
	}
	s.Sets = nil
	for i := range n {
		s.Sets = append(s.Sets, []int{i})
	}
	s.Draws = 1 << 16
	coins, _ := s.Test()
	s.Draws = 1<<16 - 1
	drawn, _ := s.Test()
	again, _ := s.Test()
	if drawn.Exact || !coins.Exact || drawn.Greater != again.Greater || drawn.Interval(0.9) != again.Interval(0.9) {
		t.Errorf("%+v %+v", drawn, coins)
	}
	for _, p := range [][2]float64{{drawn.Greater, coins.Greater}, {drawn.Less, coins.Less}} {
		if se := math.Sqrt(p[1] * (1 - p[1]) / 65535); math.Abs(p[0]-p[1]) > 5*se+1e-4 {
			t.Errorf("%v of random draws, %v of all", p[0], p[1])
		}
	}
}

// Under the sharp null hypothesis p is at most alpha with at most that probability,
// whatever the ratings: over all plans of a lottery, exactly.
func TestLevelIsHeldOverAllPlans(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 9))
	for _, rows := range [][][]int32{blocksOfTwo, {{1, 2, 3}, {2, 3, 1}, {3, 1, 2}}} {
		o := orders{rows, []int{6}, random}
		trial := Trial{First: 1, Second: 2}
		for i := range 6 * len(rows[0]) {
			trial.Assessor = append(trial.Assessor, i/len(rows[0]))
			trial.Value = append(trial.Value, random.NormFloat64())
		}
		var ps []float64
		o.Every(1000, func(sample []int32, _ float64) {
			trial.Sample = append([]int32{}, sample...)
			results, err := Test(o, 1000, trial)
			if err != nil {
				t.Fatal(err)
			}
			ps = append(ps, results[0].TwoSided)
		})
		for _, alpha := range []float64{0.02, 0.05, 0.1, 0.3} {
			found := 0
			for _, p := range ps {
				if p <= alpha {
					found++
				}
			}
			if share := float64(found) / float64(len(ps)); share > alpha+1e-9 {
				t.Errorf("%d samples: p ≤ %g in a share of %g", len(rows[0]), alpha, share)
			}
		}
	}
}

// A lottery that never parts the two says so, and finds nothing.
func TestFixedOrder(t *testing.T) {
	o := orders{[][]int32{{1, 2}}, []int{6}, rand.New(rand.NewPCG(1, 1))}
	trial := Trial{First: 1, Second: 2, Sample: o.Next(), Value: []float64{5, 3, 6, 3, 7, 3, 8, 3, 9, 3, 4, 1}}
	for i := range 12 {
		trial.Assessor = append(trial.Assessor, i/2)
	}
	results, err := Test(o, 720, trial)
	if err != nil {
		t.Fatal(err)
	}
	if r := results[0]; !r.Fixed || r.TwoSided != 1 || !math.IsInf(r.Interval(0.95).Lo, -1) {
		t.Errorf("%+v %v", r, r.Interval(0.95))
	}
}

func TestBadTrials(t *testing.T) {
	o := orders{blocksOfTwo, []int{2}, nil}
	for _, trial := range []Trial{
		{First: 1, Second: 2, Value: []float64{1}},
		{First: 1, Second: 1, Value: []float64{1}, Assessor: []int{0}, Sample: []int32{1}},
		{First: 1, Second: 2, Value: []float64{math.Inf(1)}, Assessor: []int{0}, Sample: []int32{1}},
		{First: 1, Second: 2, Value: []float64{1}, Assessor: []int{-1}, Sample: []int32{1}},
	} {
		if _, err := Test(o, 10, trial); err == nil {
			t.Errorf("no error of %+v", trial)
		}
	}
	for _, s := range []Swapped{{}, {Differences: []float64{1}},
		{Differences: []float64{math.NaN()}, Sets: [][]int{{0}}},
		{Differences: []float64{1}, Sets: [][]int{{1}}}} {
		if _, err := s.Test(); err == nil {
			t.Errorf("no error of %+v", s)
		}
	}
}

func BenchmarkSwaps(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 2))
	s := Swapped{Draws: Draws, Seed: 1}
	for i := range 40 {
		s.Differences = append(s.Differences, math.Round(10*random.NormFloat64()))
		if i%2 == 0 {
			s.Sets = append(s.Sets, []int{i, i + 1})
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		r, err := s.Test()
		if err != nil {
			b.Fatal(err)
		}
		r.Interval(0.95)
	}
}
