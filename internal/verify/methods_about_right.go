package verify

import (
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/ttest"
)

// aboutRightTable is of answers from too little over about right to too much.
var aboutRightTable = []method{
	{id: "penalty", key: "too_little.p too_much.p",
		fields: `too_little{share share_ci drop=Drop.Diff drop_ci=Drop.CI df=Drop.DF p=Drop.P weighted_penalty=Weighted
				weighted_penalty_se=WeightedSE weighted_penalty_ci=WeightedCI}
			too_much{share share_ci drop=Drop.Diff drop_ci=Drop.CI df=Drop.DF p=Drop.P weighted_penalty=Weighted
				weighted_penalty_se=WeightedSE weighted_penalty_ci=WeightedCI}`,
		run: runPenalty},
	{id: "marginal_homogeneity", key: "q p", fields: "n moved q df p exact_p", run: func(c *call) (any, error) {
		return choice.MarginalHomogeneity(wholeRows[int]("table", c.rows("table")))
	}},
}

// sideOfPenalty is one side with the interval of its share.
type sideOfPenalty struct {
	ttest.PenaltyResult
	ShareCI stats.Interval
}

// runPenalty takes liking and about_right (-1 too little, 0, 1 too much) of the same people.
func runPenalty(c *call) (any, error) {
	liking, said := c.pairs("liking", "about_right")
	of := map[float64][]float64{}
	for i, side := range said {
		of[side] = append(of[side], liking[i])
	}
	var out struct{ TooLittle, TooMuch sideOfPenalty }
	for side, into := range map[float64]*sideOfPenalty{-1: &out.TooLittle, 1: &out.TooMuch} {
		t, err := ttest.Penalty(of[0], of[side], len(said), ttest.TwoSampleOptions{Level: c.level()})
		if err != nil {
			return out, err
		}
		*into = sideOfPenalty{t, dist.ClopperPearson(len(of[side]), len(said), c.level())}
	}
	return out, nil
}
