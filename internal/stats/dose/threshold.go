package dose

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
)

// WarnAllMissed marks assessors whose threshold lies above the series.
const WarnAllMissed = "all-missed"

// ErrSeries is returned for a series of concentrations that does not rise or
// whose answers do not match it.
var ErrSeries = errors.New("concentrations must rise, be above 0 and have one answer each")

// ThresholdResult is a group threshold by best estimates.
type ThresholdResult struct {
	Individual []float64      // best estimate of each assessor, in concentration units
	Threshold  float64        // geometric mean
	LogSD      float64        // standard deviation of log10 of the estimates; NaN for one assessor
	CI         stats.Interval // of the geometric mean, by t on log10; absent for one assessor
	AllRight   int            // assessors who were right throughout
	AllMissed  int            // assessors who missed the strongest sample
	Warnings   []stats.Warning
}

// BestEstimateThreshold returns the group's threshold from an ascending series
// of forced choices: concentrations rise, correct[i][j] is assessor i's answer
// at concentration j. level 0 means 0.95.
//
// An assessor's best estimate is the geometric mean of the last missed
// concentration and the next higher one, from which all answers are correct;
// the group's is the geometric mean of these: ASTM E679. When all answers are
// correct the series is continued one step down, when the last is missed one
// step up, by the ratio of the neighbouring steps; both are warned of, since
// the threshold then rests on an assumed concentration.
func BestEstimateThreshold(concentrations []float64, correct [][]bool, level float64) (ThresholdResult, error) {
	level, err := stats.LevelOr95(level)
	if err = errors.Join(err, checkSeries(concentrations, correct)); err != nil {
		return ThresholdResult{}, err
	}
	r := ThresholdResult{LogSD: math.NaN(), CI: stats.NoInterval(level)}
	logs, none, all := make([]float64, len(correct)), 0, 0
	for i, answers := range correct {
		below, above, where := bracketThreshold(concentrations, answers)
		switch where {
		case -1:
			all++
		case 1:
			none++
		}
		logs[i] = (math.Log10(below) + math.Log10(above)) / 2
		r.Individual = append(r.Individual, math.Pow(10, logs[i]))
	}
	r.Threshold = math.Pow(10, stats.Mean(logs))
	if len(logs) > 1 {
		r.LogSD = stats.SD(logs)
		half := dist.TQuantile((1+level)/2, float64(len(logs)-1)) * r.LogSD / math.Sqrt(float64(len(logs)))
		r.CI = stats.Interval{Lo: math.Pow(10, stats.Mean(logs)-half), Hi: math.Pow(10, stats.Mean(logs)+half),
			Level: level}
	}
	r.AllRight, r.AllMissed = all, none
	if len(logs) == 1 {
		r.Warnings = append(r.Warnings, stats.TooFew(2, "assessors for an interval of the group's threshold"))
	}
	if all > 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: stats.WarnAllCorrect,
			Text: fmt.Sprintf("%d assessors were right throughout: their threshold is set one step below the "+
				"series; start it lower.", all)})
	}
	if none > 0 {
		r.Warnings = append(r.Warnings, stats.Warning{Code: WarnAllMissed,
			Text: fmt.Sprintf("%d assessors missed the strongest sample: their threshold is set one step above the "+
				"series; end it higher.", none)})
	}
	return r, nil
}

func checkSeries(concentrations []float64, correct [][]bool) error {
	if len(correct) == 0 || len(concentrations) == 0 {
		return stats.ErrEmpty
	}
	if len(concentrations) < 2 {
		return fmt.Errorf("%d concentration: at least 2 are needed: %w", len(concentrations), ErrSeries)
	}
	if err := stats.CheckUsable(concentrations); err != nil {
		return err
	}
	for j, c := range concentrations {
		if c <= 0 || j > 0 && c <= concentrations[j-1] {
			return fmt.Errorf("concentration %d is %g: %w", j+1, c, ErrSeries)
		}
	}
	for i, answers := range correct {
		if len(answers) != len(concentrations) {
			return fmt.Errorf("assessor %d has %d answers to %d concentrations: %w", i+1, len(answers),
				len(concentrations), ErrSeries)
		}
	}
	return nil
}

// bracketThreshold returns the last missed concentration and the next. where
// is −1 when none was missed, 1 when the highest was.
func bracketThreshold(c []float64, answers []bool) (below, above float64, where int) {
	last := len(c) - 1
	for j := last; j >= 0; j-- {
		if answers[j] {
			continue
		}
		if j == last {
			return c[last], c[last] * c[last] / c[last-1], 1
		}
		return c[j], c[j+1], 0
	}
	return c[0] * c[0] / c[1], c[0], -1
}
