package analysis

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// answersToFind is [Finding.peopleToFind] of a share: by the exact binomial test, with
// as large a part undecided as in this study.
func (f *Finding) answersToFind(plan study.AnalysisPlan) int {
	side := stats.TwoSided
	if plan.Sides != study.TwoSided {
		side = stats.Greater
	}
	needed, err := size.Binomial(settleChance, 0,
		size.BinomialDesign{P0: f.Choice.Chance, P1: f.Choice.Chance + f.Verdict.Margin, Alpha: plan.Alpha,
			Alternative: side})
	if err != nil || needed.Stable.N == 0 {
		return -1
	}
	return f.moreAnswers(needed.Stable.N)
}

// answersToNarrow is [Finding.peopleToNarrow] of a share, by the normal approximation.
func (f *Finding) answersToNarrow(half float64) int {
	if f.CI.Absent() || !(half > 0) {
		return -1
	}
	if (f.CI.Hi-f.CI.Lo)/2 <= half {
		return 0
	}
	z := dist.NormalQuantile((1 + f.CI.Level) / 2)
	return f.moreAnswers(int(math.Ceil(z * z * f.Value * (1 - f.Value) / (half * half))))
}

// moreAnswers is how many answers to add until so many decide.
func (f *Finding) moreAnswers(deciding int) int {
	have := f.deciders()
	if have == 0 {
		return -1
	}
	return max(1, int(math.Ceil(float64(deciding-have)*float64(f.N)/float64(have))))
}
