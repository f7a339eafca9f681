package report_test

import (
	"math"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

func init() {
	withWarning[analysis.WarnNoLottery] = func() (*study.Study, []analysis.Rating) {
		s := panelOf(2)
		s.Plan.Test = study.Lottery
		return s, paired(ten, near)
	}
	withWarning[analysis.WarnFewDraws] = func() (*study.Study, []analysis.Rating) {
		s, _, ratings := drawnStudy(8)
		return s, ratings
	}
	withWarning[analysis.WarnDrawsOpen] = atAlpha
	withWarning[analysis.WarnNotFollowed] = func() (*study.Study, []analysis.Rating) {
		s, _, ratings := drawnStudy(20)
		ratings[0].Sample, ratings[1].Sample = ratings[1].Sample, ratings[0].Sample
		return s, ratings
	}
}

// asPlanned is the lottery of a study whose plan was not followed.
func asPlanned(code string) *analysis.Lottery {
	if code != analysis.WarnNotFollowed {
		return nil
	}
	_, plan, _ := drawnStudy(20)
	return &analysis.Lottery{Plan: plan}
}

// atAlpha is a study whose p by the lottery is 0.05 but for what random draws leave open.
func atAlpha() (*study.Study, []analysis.Rating) {
	s, _, ratings := drawnStudy(60)
	low, high := 0.0, 10.0
	for range 25 {
		middle := (low + high) / 2
		for i, r := range ratings {
			who := float64(i / 2)
			if ratings[i].Value = 50; r.Sample == "A" {
				ratings[i].Value += middle + math.Mod(who*37, 23) - 11
			}
		}
		r, err := analysis.Analyse(s, ratings, analysis.Options{Lottery: analysis.SeededLottery(s, ratings)})
		if err != nil {
			panic(err)
		}
		p := r.Findings[0].Test.P
		if math.Abs(p-0.05) < 0.0003 {
			break
		}
		if p > 0.05 {
			low = middle
		} else {
			high = middle
		}
	}
	return s, ratings
}

// drawnStudy is a study of two recipes tested by its lottery, with a seed, and a plan that
// it draws; the first is rated higher by everybody.
func drawnStudy(assessors int) (*study.Study, *design.Plan, []analysis.Rating) {
	s := panelOf(2)
	s.Plan.Test = study.Lottery
	s.Serving.HasSeed, s.Serving.Seed, s.Serving.Replicates = true, 5, 1
	s.Panel.Assessors, s.Panel.Sittings = assessors, 1
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		panic(err)
	}
	var ratings []analysis.Rating
	for _, v := range plan.Servings {
		ratings = append(ratings, analysis.Rating{Assessor: analysis.AssessorLabel(int(v.Assessor)),
			Position: int(v.Position), Sample: plan.Samples[v.Sample], Attribute: "salt",
			Value: float64(70 - 10*v.Sample + v.Assessor%5*(1+v.Sample))})
	}
	return s, plan, ratings
}
