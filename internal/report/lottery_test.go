package report_test

import (
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
