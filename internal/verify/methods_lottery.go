package verify

import (
	"slices"

	"gonum.org/v1/gonum/stat/combin"

	"cloche/internal/stats"
	"cloche/internal/stats/lottery"
	"cloche/internal/stats/ranks"
)

// lotteryTable is of tests that count what could have been drawn, or ranked.
var lotteryTable = []method{
	{id: "randomisation_test", key: "p_two_sided", run: runRandomisation,
		fields: `n plans difference p_two_sided=TwoSided p_greater=Greater p_less=Less
			smallest_possible_p_greater=Least ci`},
	{id: "monte_carlo_p", key: "p ci", fields: "p ci se", run: func(c *call) (any, error) {
		return lottery.MonteCarloP(c.whole("reached"), c.whole("redraws"), c.level())
	}},
	{id: "monte_carlo_redraws", key: "grid", grid: true, fields: "redraws", run: func(c *call) (any, error) {
		return struct{ Redraws int }{lottery.DrawsFor(c.number("p"), c.number("half_width"))}, nil
	}},
	{id: "friedman_exact", key: "exact_p", fields: "chi2=ChiSq rank_sums exact_p chi2_p=P",
		run: func(c *call) (any, error) { return ranks.Friedman(c.matrix()) }},
}

// everyPlan is a lottery given by all that it can draw, each as likely.
type everyPlan [][]int32

func (l everyPlan) Next() []int32 { return l[0] }

func (l everyPlan) Every(_ int, use func([]int32, float64)) bool {
	for _, plan := range l {
		use(plan, 1/float64(len(l)))
	}
	return true
}

// runRandomisation tests two samples by every plan: rows in any order within blocks of
// assessors, each as often as the others; or, without blocks, any row for any assessor.
func runRandomisation(c *call) (any, error) {
	for _, name := range []string{"kind", "lottery", "statistic"} {
		c.value(name) // words for what rows, blocks and data say
	}
	trial := lottery.Trial{First: 1, Second: 2, Plain: true, Groups: c.value("ratings") != nil}
	ratings, sample := "ratings_by_position", "sample_by_position"
	if trial.Groups { // one sample to each assessor
		ratings, sample = "ratings", "sample"
	}
	served := wholeRows[int32](sample, c.rows(sample))
	for i, row := range c.rows(ratings) {
		for k, v := range row {
			trial.Value, trial.Assessor = append(trial.Value, v), append(trial.Assessor, i)
			trial.Sample = append(trial.Sample, served[i][k])
		}
	}
	blocks := slices.Repeat([]int{1}, len(served))
	if given := c.value("block"); given != nil {
		blocks = wholeRows[int]("block", [][]float64{numberList("block", given)})[0]
	}
	rows := [][][]int32{wholeRows[int32]("rows", rowsOf("rows", c.value("rows")))}
	if relabel, _ := c.value("relabel").(bool); relabel {
		rows = relabelled(rows[0])
	}
	all := plansOf(rows, blocks)
	results, err := lottery.Test(all, len(all), trial)
	if err != nil {
		return nil, err
	}
	r := results[0]
	return randomised{r.N, r.Draws, r.Difference, r.TwoSided, r.Greater, r.Less, 1 / float64(r.Draws),
		r.Interval(c.level())}, nil
}

type randomised struct {
	N, Plans                                   int
	Difference, TwoSided, Greater, Less, Least float64
	CI                                         stats.Interval
}

// wholeRows are rows of whole numbers.
func wholeRows[N int | int32](name string, rows [][]float64) (out [][]N) {
	for _, row := range rows {
		numbers := make([]N, len(row))
		for k, x := range row {
			numbers[k] = N(whole(x, name))
		}
		out = append(out, numbers)
	}
	return out
}

// relabelled are rows with all names of the samples put in place of each other.
func relabelled(rows [][]int32) (all [][][]int32) {
	for _, order := range combin.Permutations(len(rows[0]), len(rows[0])) {
		renamed := make([][]int32, len(rows))
		for i, row := range rows {
			for _, x := range row {
				renamed[i] = append(renamed[i], int32(order[x-1]+1))
			}
		}
		all = append(all, renamed)
	}
	return all
}

// plansOf are all different plans for blocks of assessors, whose rows are one of some sets.
func plansOf(sets [][][]int32, blocks []int) everyPlan {
	plans := everyPlan{nil}
	for _, n := range blocks {
		var dealt, longer everyPlan
		for _, rows := range sets {
			dealt = append(dealt, deals(rows, n)...)
		}
		slices.SortFunc(dealt, slices.Compare)
		for _, block := range slices.CompactFunc(dealt, slices.Equal) {
			for _, plan := range plans {
				longer = append(longer, slices.Concat(plan, block))
			}
		}
		plans = longer
	}
	return plans
}

// deals are the ways to deal rows to a block of n, each as often as the others.
func deals(rows [][]int32, n int) (all [][]int32) {
	left := slices.Repeat([]int{max(1, n/len(rows))}, len(rows))
	var deal func(got []int32, rest int)
	deal = func(got []int32, rest int) {
		if rest == 0 {
			all = append(all, got)
			return
		}
		for i, row := range rows {
			if left[i] > 0 {
				left[i]--
				deal(slices.Concat(got, row), rest-1)
				left[i]++
			}
		}
	}
	deal(nil, n)
	return all
}
