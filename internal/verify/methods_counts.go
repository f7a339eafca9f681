package verify

import (
	"errors"
	"fmt"

	"cloche/internal/stats"
	"cloche/internal/stats/choice"
)

// countMethods are proportions and families of p-values.
func countMethods() map[string]method {
	return map[string]method{
		"p_adjust": {data: words("p"), fields: words("holm bh bonferroni hochberg hommel by"),
			key: words("holm"), run: runPAdjust},
		"binomial_test": {data: words("x n"), inputs: words("p0 conf"),
			fields: words(`proportion p_two_sided p_greater p_less mid_p_greater clopper_pearson wilson
				agresti_coull`),
			key: words("proportion p_two_sided"), run: runBinomialTest},
		"mcnemar": {data: words("table x y"), inputs: words("conf"),
			fields: words(`b c n chi2 p chi2_corrected p_corrected exact_p mid_p odds_ratio odds_ratio_ci diff
				diff_wald_ci`),
			key: words("chi2 p exact_p"), run: runMcNemar},
		"cochran_q": {data: words("values samples assessor sample value"), free: true,
			fields: words("n n_informative column_sums q df p pairs_mcnemar_exact"), key: words("q p"),
			run: runCochranQ},
	}
}

func runPAdjust(c *call) answer {
	p, err := c.numbers("p")
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"holm": stats.Holm(p), "bh": stats.BenjaminiHochberg(p), "bonferroni": stats.Bonferroni(p),
		"hochberg": stats.Hochberg(p), "hommel": stats.Hommel(p), "by": stats.BenjaminiYekutieli(p),
	}}
}

func runBinomialTest(c *call) answer {
	n, err := c.counts("x", "n")
	p0, errP := c.input("p0", 0.5)
	level, errL := c.level()
	if err = errors.Join(err, errP, errL); err != nil {
		return answer{err: err}
	}
	r, err := choice.BinomialTest(n[0], n[1], p0, choice.BinomialTestOptions{Level: level})
	if err != nil {
		return answer{err: err}
	}
	return answer{fields: fields{
		"proportion": r.Proportion, "p_two_sided": r.TwoSided, "p_greater": r.Greater, "p_less": r.Less,
		"mid_p_greater": r.MidPGreater, "clopper_pearson": ends(r.ClopperPearson), "wilson": ends(r.Wilson),
		"agresti_coull": ends(r.AgrestiCoull),
	}, warnings: r.Warnings}
}

func runMcNemar(c *call) answer {
	table, err := c.twoByTwo()
	level, errL := c.level()
	if err = errors.Join(err, errL); err != nil {
		return answer{err: err}
	}
	base := fields{"b": table[0][1], "c": table[1][0], "n": table[0][0] + table[0][1] + table[1][0] + table[1][1]}
	r, err := choice.McNemar(table, level)
	if err != nil {
		return answer{fields: base, err: err}
	}
	for name, v := range map[string]any{
		"chi2": r.Chi2, "p": r.P, "chi2_corrected": r.Chi2Corrected, "p_corrected": r.PCorrected, "exact_p": r.ExactP,
		"mid_p": r.MidP, "odds_ratio": r.OddsRatio, "odds_ratio_ci": ends(r.OddsCI), "diff": r.Difference,
		"diff_wald_ci": ends(r.WaldCI),
	} {
		base[name] = v
	}
	return answer{fields: base, warnings: r.Warnings}
}

// twoByTwo reads a table of counts, or counts the answers 1 and 0 of x and y.
func (c *call) twoByTwo() (table [2][2]int, err error) {
	v, ok := c.e.data.get("table")
	if !ok {
		return c.countAnswers()
	}
	m, err := rowsOf("table", v)
	if err != nil {
		return table, err
	}
	if len(m) != 2 || len(m[0]) != 2 || len(m[1]) != 2 {
		return table, bad("data \"table\" must have two rows of two counts")
	}
	for i := range 2 {
		for j := range 2 {
			if table[i][j], err = whole(m[i][j], "table"); err != nil {
				return table, err
			}
		}
	}
	return table, nil
}

func (c *call) countAnswers() (table [2][2]int, err error) {
	x, y, err := c.pairs("x", "y")
	if err != nil {
		return table, err
	}
	yes, err := asAnswers([][]float64{x, y})
	if err != nil {
		return table, err
	}
	if len(x) != len(y) {
		return table, stats.ErrUnequalLengths
	}
	at := map[bool]int{true: 0, false: 1}
	for i := range x {
		table[at[yes[0][i]]][at[yes[1][i]]]++
	}
	return table, nil
}

var errAnswers = errors.New("answers must be 1 (yes) or 0 (no)")

func asAnswers(m [][]float64) ([][]bool, error) {
	out := make([][]bool, len(m))
	for i, row := range m {
		for j, v := range row {
			if v != 0 && v != 1 {
				return nil, fmt.Errorf("row %d, column %d is %g: %w", i+1, j+1, v, errAnswers)
			}
			out[i] = append(out[i], v == 1)
		}
	}
	return out, nil
}

func runCochranQ(c *call) answer {
	m, _, err := c.matrix(nil)
	if err != nil {
		return answer{err: err}
	}
	m = completeRows(m)
	answers, err := asAnswers(m)
	if err != nil {
		return answer{fields: fields{"n": len(m)}, err: err}
	}
	r, err := choice.CochranQ(answers)
	if err != nil {
		return answer{fields: fields{"n": len(m)}, err: err}
	}
	var pairs []fields
	for _, p := range r.Pairs {
		pairs = append(pairs, fields{"a": p.A + 1, "b": p.B + 1, "n_only_a": p.OnlyA, "n_only_b": p.OnlyB,
			"exact_p": p.P, "exact_p_holm": p.PHolm})
	}
	return answer{fields: fields{"n": r.N, "n_informative": r.Informative, "column_sums": r.Yes, "q": r.Q, "df": r.DF,
		"p": r.P, "pairs_mcnemar_exact": rows{words("a b"), pairs}}, warnings: r.Warnings}
}
