package storetest

import (
	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// spreadOf is what a study tells later ones of an attribute.
func spreadOf(title string, attribute study.AttributeID, sd float64) analysis.FoundSpread {
	return analysis.FoundSpread{Study: title, Question: study.Naming, Contrast: analysis.ContrastNames,
		Attribute: attribute,
		Asked:     "How salty?", Scale: study.Line, From: -0.5, To: 100, People: 12, SD: sd, Invented: true}
}

var spreadTests = []namedTest{
	{"spreads of a closed study are kept, replaced and found by kind", func(c *check) {
		c.opened(2, 2)
		a := c.seat(1)
		c.rate(a, 1, 1)
		find := func(found ...analysis.FoundSpread) func([]panel.KeyedAnswer) []analysis.FoundSpread {
			return func(rated []panel.KeyedAnswer) []analysis.FoundSpread {
				same(c, "ratings to find spreads in", rated,
					got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)))
				return found
			}
		}
		c.wantError("keep spreads of an open study", c.store.KeepSpreads(c.ctx, someStudy, find()), panel.ErrWrongState)
		c.wantError("keep spreads of none", c.store.KeepSpreads(c.ctx, "nobody", find()), panel.ErrNotFound)
		same(c, "missing while open", got[[]panel.StudyID](c)(c.store.SpreadsMissing(c.ctx)), nil)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		same(c, "missing", got[[]panel.StudyID](c)(c.store.SpreadsMissing(c.ctx)), []panel.StudyID{someStudy})
		c.must(c.store.KeepSpreads(c.ctx, someStudy, find(spreadOf("spring", "salt", 1))))
		salt, sweet := spreadOf("spring", "salt", 12.5), spreadOf("spring", "sweet", 9)
		c.must(c.store.KeepSpreads(c.ctx, someStudy, find(sweet, salt)))
		same(c, "missing once kept", got[[]panel.StudyID](c)(c.store.SpreadsMissing(c.ctx)), nil)
		same(c, "found", got[[]analysis.FoundSpread](c)(c.store.FoundSpreads(c.ctx, salt)),
			[]analysis.FoundSpread{salt, sweet})
		for name, change := range map[string]func(*analysis.FoundSpread){
			"question": func(f *analysis.FoundSpread) { f.Question = study.Rating },
			"contrast": func(f *analysis.FoundSpread) { f.Contrast = analysis.ContrastDishes },
			"scale":    func(f *analysis.FoundSpread) { f.Scale = study.Hedonic9 },
			"low end":  func(f *analysis.FoundSpread) { f.From = 0 },
			"high end": func(f *analysis.FoundSpread) { f.To = 99 },
		} {
			other := salt
			change(&other)
			same(c, "another "+name, got[[]analysis.FoundSpread](c)(c.store.FoundSpreads(c.ctx, other)), nil)
		}
	}},
	{"spreads go with their study", func(c *check) {
		c.opened(1, 1)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		salt := spreadOf("spring", "salt", 12.5)
		c.must(c.store.KeepSpreads(c.ctx, someStudy, func([]panel.KeyedAnswer) []analysis.FoundSpread {
			return []analysis.FoundSpread{salt}
		}))
		c.must(c.store.NoteExport(c.ctx, got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), noon, happened))
		c.must(c.store.DeleteStudy(c.ctx, someStudy, func(panel.Study, panel.Progress) panel.Event { return happened }))
		same(c, "found after deletion", got[[]analysis.FoundSpread](c)(c.store.FoundSpreads(c.ctx, salt)), nil)
	}},
}
