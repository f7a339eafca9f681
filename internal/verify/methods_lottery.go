package verify

import (
	"fmt"

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
	{id: "friedman_exact", key: "exact_p", fields: "chi2=ChiSq rank_sums exact_p chi2_p=P",
		run: func(c *call) (any, error) { return ranks.Friedman(c.matrix(nil)) }},
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
		c.input(name) // words for what rows, blocks and data say
	}
	trial := lottery.Trial{First: 1, Second: 2, Plain: true}
	rows := wholeRows[int32]("rows", rowsOf("rows", c.input("rows")))
	values, ok := c.datum("ratings_by_position")
	served, _ := c.datum("sample_by_position")
	if !ok { // one sample to each assessor
		trial.Groups = true
		each := func(name string) (list []any) {
			v, _ := c.datum(name)
			for _, x := range numberList(name, v) {
				list = append(list, []any{x})
			}
			return list
		}
		values, served = each("ratings"), each("sample")
	}
	samples := wholeRows[int32]("sample_by_position", rowsOf("sample_by_position", served))
	for i, row := range rowsOf("ratings_by_position", values) {
		for k, v := range row {
			trial.Value, trial.Assessor = append(trial.Value, v), append(trial.Assessor, i)
			trial.Sample = append(trial.Sample, samples[i][k])
		}
	}
	blocks := []int{}
	if given := c.input("block"); given != nil {
		blocks = wholeRows[int]("block", [][]float64{numberList("block", given)})[0]
	}
	relabel, _ := c.input("relabel").(bool)
	all := plansOf(rows, blocks, len(samples), relabel)
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

// plansOf are all different plans of some assessors.
func plansOf(rows [][]int32, blocks []int, assessors int, relabel bool) everyPlan {
	times := func(n int) int { return n / len(rows) }
	if len(blocks) == 0 {
		for range assessors {
			blocks = append(blocks, 1)
		}
		times = func(int) int { return 1 }
	}
	plans := everyPlan{nil}
	for _, n := range blocks {
		var longer everyPlan
		for _, block := range arranged(rows, n, times(n), relabel) {
			for _, plan := range plans {
				longer = append(longer, append(append([]int32{}, plan...), block...))
			}
		}
		plans = longer
	}
	return plans
}

// arranged are the different ways to give rows to a block of n, each so many times at
// most; with all names of the samples put in place of each other where they are relabelled.
func arranged(rows [][]int32, n, times int, relabel bool) (all [][]int32) {
	seen := map[string]bool{}
	left := make([]int, len(rows))
	for i := range left {
		left[i] = times
	}
	var place func(got []int32, rest int)
	place = func(got []int32, rest int) {
		if rest == 0 {
			if key := fmt.Sprint(got); !seen[key] {
				seen[key] = true
				all = append(all, got)
			}
			return
		}
		for i, row := range rows {
			if left[i] > 0 {
				left[i]--
				place(append(append([]int32{}, got...), row...), rest-1)
				left[i]++
			}
		}
	}
	labels := [][]int{nil}
	if relabel {
		labels = combin.Permutations(len(rows[0]), len(rows[0]))
	}
	own := rows
	for _, order := range labels {
		if rows = own; order != nil {
			rows = make([][]int32, len(own))
			for i, row := range own {
				for _, x := range row {
					rows[i] = append(rows[i], int32(order[x-1]+1))
				}
			}
		}
		place(nil, n)
	}
	return all
}
