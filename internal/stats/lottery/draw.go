package lottery

// Draws is the number of random draws behind a p-value of a planned test: 0.05 is then
// right to 0.0014, 19 times in 20.
const Draws = 99_999

// Lottery draws again. Next gives the sample at each serving, and may overwrite what it gave
// before; Every calls use with everything that can be drawn and its probability, and
// reports false where there are more than most draws.
type Lottery interface {
	Next() []int32
	Every(most int, use func(sample []int32, probability float64)) bool
}

// Test compares the samples of each trial with draws of the lottery: with all of them
// where there are at most so many, else with so many at random. All trials are read in
// the same draws. Errors: [ErrTrial], [stats.ErrNotFinite].
func Test(l Lottery, draws int, trials ...Trial) ([]*Result, error) {
	results, readers := make([]*Result, len(trials)), make([]*reader, len(trials))
	for i, t := range trials {
		if err := t.check(); err != nil {
			return nil, err
		}
		readers[i] = newReader(t)
		results[i] = &Result{trial: t, seen: readers[i].read(t.Sample, 1), Exact: true}
	}
	exact := l.Every(draws, func(sample []int32, probability float64) {
		for i, r := range results {
			r.draws = append(r.draws, readers[i].read(sample, probability))
		}
	})
	if !exact {
		drawAtRandom(l, draws, results, readers)
	}
	for _, r := range results {
		r.Draws = len(r.draws)
		for i := range r.draws {
			r.weight += r.draws[i].weight
		}
		r.conclude()
	}
	return results, nil
}

func drawAtRandom(l Lottery, draws int, results []*Result, readers []*reader) {
	for _, r := range results {
		r.Exact, r.draws = false, make([]draw, 0, draws)
	}
	for range draws {
		sample := l.Next()
		for i, r := range results {
			r.draws = append(r.draws, readers[i].read(sample, 1))
		}
	}
}
