package analysis_test

import (
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/stats/lottery"
	"cloche/internal/study"
)

// BenchmarkPlannedLottery: 60 assessors and four samples, two of them tested by 100,000
// draws of the plan, with the interval; and the whole analysis, in which the other five
// pairs have fewer draws.
func BenchmarkPlannedLottery(b *testing.B) {
	s := panelOf(4)
	s.Panel.Assessors, s.Plan.Test = 60, study.Lottery
	plan, err := design.Draw(s, design.Options{Seed: 1})
	if err != nil {
		b.Fatal(err)
	}
	ratings := analysis.Simulate(s, plan, analysis.Truth{}, 1)
	b.Run("draws", func(b *testing.B) {
		trial := lottery.Trial{First: 0, Second: 1}
		for i, v := range plan.Servings {
			trial.Value = append(trial.Value, ratings[i].Value)
			trial.Assessor, trial.Sample = append(trial.Assessor, int(v.Assessor)), append(trial.Sample, v.Sample)
		}
		for b.Loop() {
			draws, err := design.Redraw(s, plan, 1)
			if err != nil {
				b.Fatal(err)
			}
			found, err := lottery.Test(draws, lottery.Draws, trial)
			if err != nil {
				b.Fatal(err)
			}
			found[0].Interval(0.95)
		}
	})
	b.Run("analysis", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			o := analysis.Options{Lottery: &analysis.Lottery{Plan: plan}}
			if _, err := analysis.Analyse(s, ratings, o); err != nil {
				b.Fatal(err)
			}
		}
	})
}
