package report_test

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// What people did is a warning like others.
func init() {
	for code, spoil := range map[string]func(*analysis.Rating){
		analysis.WarnWrongPlate:   func(r *analysis.Rating) { r.WrongPlate = true },
		analysis.WarnTastedEarly:  func(r *analysis.Rating) { r.TastedEarly = true },
		analysis.WarnTalked:       func(r *analysis.Rating) { r.Talked = true },
		analysis.WarnSpilt:        func(r *analysis.Rating) { r.Spilt = true },
		analysis.WarnUnwell:       func(r *analysis.Rating) { r.Unwell = true },
		analysis.WarnOutOfTurn:    func(r *analysis.Rating) { r.OutOfTurn = true },
		analysis.WarnAnsweredLate: func(r *analysis.Rating) { r.Seconds = 1500 },
		analysis.WarnAnsweredSoon: func(r *analysis.Rating) { r.Seconds = 2 },
	} {
		withWarning[code] = func() (*study.Study, []analysis.Rating) {
			ratings := paired(ten, near)
			spoil(&ratings[3])
			return panelOf(2), ratings
		}
	}
	withWarning[analysis.WarnSameAnswer] = func() (*study.Study, []analysis.Rating) {
		s, ratings := panelOf(2), paired(ten, near)
		s.Serving.Replicates = 2
		again := paired(ten, near)
		for i := range ratings {
			if ratings[i].Assessor == again[0].Assessor {
				ratings[i].Value, again[i].Value = 50, 50
			}
			again[i].Position += 2
		}
		return s, append(ratings, again...)
	}
}
