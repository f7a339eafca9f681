package storetest

import (
	"fmt"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// spreadOf is what a study tells later ones of an attribute.
func spreadOf(title string, attribute study.AttributeID, sd float64) analysis.FoundDifference {
	return analysis.FoundDifference{Study: title, Question: study.Naming, Contrast: analysis.ContrastNames,
		Attribute: attribute,
		Asked:     "How salty?", Scale: study.Line, From: -0.5, To: 100, People: 12, SD: sd, Invented: true,
		Samples: [2]string{"“Sea custard”", "“Custard”"}, Alike: "custard", Difference: -3.25, Decides: true,
		Smallest: 5, Counted: true, LogE: -0.75}
}

var spreadTests = []namedTest{
	{"spreads of a closed study are kept, replaced and found by kind", func(c *check) {
		c.opened(2, 2)
		a := c.seat(1)
		c.rate(a, 1, 1)
		find := func(found ...analysis.FoundDifference) func([]panel.KeyedAnswer) []analysis.FoundDifference {
			return func(rated []panel.KeyedAnswer) []analysis.FoundDifference {
				same(c, "ratings to find spreads in", rated,
					got[[]panel.KeyedAnswer](c)(c.store.KeyedAnswers(c.ctx, someStudy)))
				return found
			}
		}
		c.wantError("keep spreads of an open study", c.store.KeepDifferences(c.ctx, someStudy, find()),
			panel.ErrWrongState)
		c.wantError("keep spreads of none", c.store.KeepDifferences(c.ctx, "nobody", find()), panel.ErrNotFound)
		same(c, "missing while open", got[[]panel.StudyID](c)(c.store.DifferencesMissing(c.ctx)), nil)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		same(c, "missing", got[[]panel.StudyID](c)(c.store.DifferencesMissing(c.ctx)), []panel.StudyID{someStudy})
		c.must(c.store.KeepDifferences(c.ctx, someStudy, find(spreadOf("spring", "salt", 1))))
		salt, sweet := spreadOf("spring", "salt", 12.5), spreadOf("spring", "sweet", 9)
		c.must(c.store.KeepDifferences(c.ctx, someStudy, find(sweet, salt)))
		same(c, "missing once kept", got[[]panel.StudyID](c)(c.store.DifferencesMissing(c.ctx)), nil)
		same(c, "all", got[[]panel.RecordedDifference](c)(c.store.AllDifferences(c.ctx)), []panel.RecordedDifference{
			{Study: someStudy, ClosedAt: noon, Found: salt}, {Study: someStudy, ClosedAt: noon, Found: sweet}})
		same(c, "found", got[[]analysis.FoundDifference](c)(c.store.FoundDifferences(c.ctx, salt, "")),
			[]analysis.FoundDifference{salt, sweet})
		ada := panel.User{ID: "ada", Name: "Ada", Role: panel.RoleNamed, Added: noon}
		c.must(c.store.AddUser(c.ctx, ada, 10, event("added")))
		same(c, "found of none of Ada’s",
			got[[]analysis.FoundDifference](c)(c.store.FoundDifferences(c.ctx, salt, ada.ID)), nil)
		c.must(c.store.SetRole(c.ctx, ada.ID, someStudy, panel.RoleMonitor, happened))
		same(c, "found of Ada’s", got[[]analysis.FoundDifference](c)(c.store.FoundDifferences(c.ctx, salt, ada.ID)),
			[]analysis.FoundDifference{salt, sweet})
		for name, change := range map[string]func(*analysis.FoundDifference){
			"question": func(f *analysis.FoundDifference) { f.Question = study.Rating },
			"contrast": func(f *analysis.FoundDifference) { f.Contrast = analysis.ContrastDishes },
			"scale":    func(f *analysis.FoundDifference) { f.Scale = study.Hedonic9 },
			"low end":  func(f *analysis.FoundDifference) { f.From = 0 },
			"high end": func(f *analysis.FoundDifference) { f.To = 99 },
		} {
			other := salt
			change(&other)
			same(c, "another "+name, got[[]analysis.FoundDifference](c)(c.store.FoundDifferences(c.ctx, other, "")),
				nil)
		}
	}},
	{"what other houses found", testJoinedRecord},
	{"a deleted study’s verdict stays", testKeptVerdict},
	{"verdicts in a line hold until the log has something new", testVerdictLines},
	{"spreads go with their study", func(c *check) {
		c.opened(1, 1)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		salt := spreadOf("spring", "salt", 12.5)
		c.must(c.store.KeepDifferences(c.ctx, someStudy, func([]panel.KeyedAnswer) []analysis.FoundDifference {
			return []analysis.FoundDifference{salt}
		}))
		c.must(c.store.NoteExport(c.ctx, got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), noon, happened))
		c.must(c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{}, buried))
		same(c, "found after deletion", got[[]analysis.FoundDifference](c)(c.store.FoundDifferences(c.ctx, salt, "")),
			nil)
	}},
}

// testJoinedRecord: what other houses found is kept once, and goes whole.
func testJoinedRecord(c *check) {
	salt, sweet := spreadOf("at the mill", "salt", 12.5), spreadOf("at the mill", "sweet", 9)
	joined := panel.JoinedStudy{ID: "a", Origin: "elsewhere", House: "The mill", ClosedAt: noon,
		Found: []analysis.FoundDifference{sweet, salt}}
	c.must(c.store.JoinRecord(c.ctx, joined, event("joined the record")))
	c.wantError("again", c.store.JoinRecord(c.ctx, joined, event("joined the record")), panel.ErrJoined)
	earlier := joined
	earlier.ID, earlier.House, earlier.ClosedAt, earlier.Found = "b", "The inn", noon.Add(-1), joined.Found[1:]
	c.must(c.store.JoinRecord(c.ctx, earlier, event("joined the record")))
	all := func() []panel.RecordedDifference {
		return got[[]panel.RecordedDifference](c)(c.store.JoinedDifferences(c.ctx))
	}
	mill := []panel.RecordedDifference{{Joined: "a", House: "The mill", ClosedAt: noon, Found: salt},
		{Joined: "a", House: "The mill", ClosedAt: noon, Found: sweet}}
	if got := all(); len(got) != 3 || got[0].House != "The inn" {
		c.Errorf("joined: %+v", got)
	} else {
		same(c, "the later", got[1:], mill)
	}
	c.must(c.store.LeaveRecord(c.ctx, "b", event("left the record")))
	same(c, "once one left", all(), mill)
	c.wantError("leaving again", c.store.LeaveRecord(c.ctx, "b", event("left the record")), panel.ErrNotFound)
	same(c, "own", got[[]panel.RecordedDifference](c)(c.store.AllDifferences(c.ctx)), []panel.RecordedDifference{})
}

// testKeptVerdict: what a deleted study found stays as long as the lead wishes, once, and goes when the study is back.
func testKeptVerdict(c *check) {
	c.opened(1, 1)
	c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
	salt := spreadOf("spring", "salt", 12.5)
	c.must(c.store.KeepDifferences(c.ctx, someStudy, func([]panel.KeyedAnswer) []analysis.FoundDifference {
		return []analysis.FoundDifference{salt}
	}))
	c.must(c.store.AppendEvent(c.ctx, entry(someStudy, "closed")))
	whole := c.whole()
	kept := panel.JoinedStudy{ID: someStudy, Origin: someStudy, ClosedAt: noon, Title: "Spring", Said: "Saltier.",
		People: 12, Invented: true}
	verdicts := func() []panel.JoinedStudy { return got[[]panel.JoinedStudy](c)(c.store.KeptVerdicts(c.ctx)) }
	differences := func() []panel.RecordedDifference {
		return got[[]panel.RecordedDifference](c)(c.store.JoinedDifferences(c.ctx))
	}
	c.wantError("not exported", c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{Keep: &kept}, buried),
		panel.ErrNotExported)
	same(c, "while it is here", verdicts(), []panel.JoinedStudy{})
	c.must(c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{Unexported: true, Keep: &kept}, buried))
	c.wantError("the study", second(c.store.Study(c.ctx, someStudy)), panel.ErrNotFound)
	same(c, "its verdict", verdicts(), []panel.JoinedStudy{kept})
	same(c, "its difference", differences(), []panel.RecordedDifference{
		{Joined: someStudy, ClosedAt: noon, Found: salt}})
	again := panel.JoinedStudy{ID: "a", Origin: someStudy, House: "Ours", ClosedAt: noon,
		Found: []analysis.FoundDifference{salt}}
	c.wantError("its own package", c.store.JoinRecord(c.ctx, again, event("joined the record")), panel.ErrJoined)
	c.must(c.store.TakeWhole(c.ctx, someStudy, whole, event("study received")))
	same(c, "once it is back", verdicts(), []panel.JoinedStudy{})
	same(c, "its difference, once it is back", differences(), []panel.RecordedDifference{})
	c.must(c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{Unexported: true, Keep: &kept}, buried))
	c.must(c.store.LeaveRecord(c.ctx, someStudy, event("left the record")))
	same(c, "taken out", verdicts(), []panel.JoinedStudy{})
}

func testVerdictLines(c *check) {
	c.opened(2, 1)
	leaver := c.seat(1)
	c.rate(leaver, 1, 1)
	var many []panel.StudyID
	for i := range 130 {
		many = append(many, panel.StudyID(fmt.Sprint("another ", i)))
	}
	kept := func() []panel.VerdictLine {
		return got[[]panel.VerdictLine](c)(c.store.VerdictLines(c.ctx, "build 1", append(many, someStudy)))
	}
	line := func() panel.VerdictLine {
		return panel.VerdictLine{StudyID: someStudy, Said: "Saltier.", People: 12, Program: "build 1",
			AsOf: got[int](c)(c.store.LastEntry(c.ctx, someStudy))}
	}
	c.wantError("while it is open", c.store.KeepVerdictLine(c.ctx, line()), panel.ErrWrongState)
	c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
	first := line()
	c.must(c.store.KeepVerdictLine(c.ctx, first))
	same(c, "kept", kept(), []panel.VerdictLine{first})
	same(c, "of another build", got[[]panel.VerdictLine](c)(c.store.VerdictLines(c.ctx, "build 2",
		[]panel.StudyID{someStudy})), nil)
	same(c, "of no study", got[[]panel.VerdictLine](c)(c.store.VerdictLines(c.ctx, "build 1", nil)), nil)
	same(c, "of others", got[[]panel.VerdictLine](c)(c.store.VerdictLines(c.ctx, "build 1", many)), nil)
	c.must(c.store.AppendEvent(c.ctx, event(panel.LeaveFindings[0])))
	same(c, "when that leaves what was found", kept(), []panel.VerdictLine{first})
	c.must(c.store.AppendEvent(c.ctx, event("plates counted")))
	same(c, "once something happened", kept(), nil)
	second := line()
	c.must(c.store.KeepVerdictLine(c.ctx, second))
	same(c, "kept anew", kept(), []panel.VerdictLine{second})
	c.must(c.store.Withdraw(c.ctx, leaver.ID, noon, event("answers deleted")))
	same(c, "once answers are gone", kept(), nil)
	c.must(c.store.KeepVerdictLine(c.ctx, line()))
	c.must(c.store.NoteExport(c.ctx, got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), noon, happened))
	c.must(c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{}, buried))
	same(c, "once the study is deleted", kept(), nil)
}
