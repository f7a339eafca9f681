package storetest

import (
	"fmt"
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

func entry(studyID panel.StudyID, what string) panel.Event {
	return panel.Event{At: noon, StudyID: studyID, Who: "lead", What: what}
}

// amend makes the next version of a study.
func (c *check) amend(of, id panel.StudyID) panel.Study {
	c.Helper()
	return got[panel.Study](c)(c.store.AmendStudy(c.ctx, amendment(of, id), entry(of, "amended"), entry(id, "begun")))
}

// amendment is a draft of a next version as the service hands it in.
func amendment(of, id panel.StudyID) panel.Study {
	next := draft(id)
	next.Amends, next.Reason = of, "the spoons were too small"
	return next
}

func (c *check) lockAnd(id panel.StudyID) {
	c.Helper()
	c.must(c.store.LockStudy(c.ctx, id, 1, someLock(), plan(id, 1, 0, 1, 1), nil, happened))
}

func sittingOf(studyID panel.StudyID) panel.Sitting {
	return panel.Sitting{ID: panel.SittingID("sitting of " + studyID), StudyID: studyID, Number: 1,
		Join: panel.JoinToken("join of " + studyID), OpenedAt: noon}
}

var versionTests = []namedTest{
	{"a version rests on the one before", func(c *check) {
		c.opened(2, 2)
		a := c.seat(1)
		c.rate(a, 1, 1)
		next := c.amend(someStudy, "second")
		want := amendment(someStudy, "second")
		want.Series, want.Version, want.RatingsBefore = someStudy, 2, 1
		same(c, "version 2", next, want)
		c.lockAnd("second")
		third := c.amend("second", "third")
		same(c, "version 3", []any{third.Series, third.Version, third.Amends, third.RatingsBefore},
			[]any{panel.StudyID(someStudy), 3, panel.StudyID("second"), 0})
		var ids []panel.StudyID
		for _, v := range got[[]panel.Study](c)(c.store.Versions(c.ctx, someStudy)) {
			ids = append(ids, v.ID)
		}
		same(c, "versions", ids, []panel.StudyID{someStudy, "second", "third"})
		same(c, "no versions", got[[]panel.Study](c)(c.store.Versions(c.ctx, "nobody")), nil)
		same(c, "log of version 2", got[[]panel.Event](c)(c.store.Events(c.ctx, "second")),
			[]panel.Event{entry("second", "begun"), entry("second", "amended")})
	}},
	{"only the last version is amended, once locked", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.must(c.store.SetPhoto(c.ctx, someStudy, panel.Photo{Dish: "custard", JPEG: []byte("x")}))
		refused := func(of panel.StudyID, want error) {
			c.Helper()
			_, err := c.store.AmendStudy(c.ctx, amendment(of, "refused"), entry(of, "amended"),
				entry("refused", "begun"))
			c.wantError("amend "+string(of), err, want)
		}
		refused(someStudy, panel.ErrWrongState)
		refused("nobody", panel.ErrNotFound)
		c.lockAnd(someStudy)
		c.amend(someStudy, "second")
		refused(someStudy, panel.ErrAmended)
		refused("second", panel.ErrWrongState)
		same(c, "photos of version 2", got[[]study.DishID](c)(c.store.PhotoDishes(c.ctx, "second")),
			[]study.DishID{"custard"})
		c.wantError("refused", second(c.store.Study(c.ctx, "refused")), panel.ErrNotFound)
	}},
	{"one version is served", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.lockAnd(someStudy)
		c.amend(someStudy, "second")
		c.must(c.store.OpenSitting(c.ctx, sittingOf(someStudy), happened)) // a draft keeps nobody from tasting
		c.lockAnd("second")
		c.must(c.store.OpenSitting(c.ctx, sitting(2), happened)) // what is open goes on
		c.wantError("open beside an earlier one", c.store.OpenSitting(c.ctx, sittingOf("second"), happened),
			panel.ErrEarlierOpen)
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.amend("second", "third")
		c.lockAnd("third")
		c.wantError("open what was amended", c.store.OpenSitting(c.ctx, sittingOf("second"), happened),
			panel.ErrAmended)
		c.must(c.store.OpenSitting(c.ctx, sittingOf("third"), happened))
	}},
}

var libraryTests = []namedTest{
	{"a plan is countersigned once, before the first rating", testCountersign},
	{"what was locked is stamped once", testTimeStamp},
	{"a study is put away and taken out", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.must(c.store.ArchiveStudy(c.ctx, someStudy, noon.Add(time.Hour), entry(someStudy, "archived")))
		want := draft(someStudy)
		want.ArchivedAt = noon.Add(time.Hour)
		same(c, "put away", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), want)
		c.must(c.store.ArchiveStudy(c.ctx, someStudy, time.Time{}, entry(someStudy, "taken out")))
		same(c, "taken out", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), draft(someStudy))
		c.wantError("archive nothing", c.store.ArchiveStudy(c.ctx, "nobody", noon, happened), panel.ErrNotFound)
	}},
	{"an export is of what stands", testExport},
	{"nothing is left of a deleted study", testDelete},
	{"a whole study moves", testWhole},
	{"a study moves with the versions before it", testWholeVersions},
	{"what may not be deleted stays", func(c *check) {
		remove := func(id panel.StudyID) error { return c.store.DeleteStudy(c.ctx, id, panel.Deletion{}, buried) }
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.wantError("not exported", remove(someStudy), panel.ErrNotExported)
		c.lockAnd(someStudy)
		c.amend(someStudy, "second")
		c.export(someStudy)
		c.wantError("amended", remove(someStudy), panel.ErrAmended)
		c.must(c.store.OpenSitting(c.ctx, sittingOf(someStudy), happened))
		c.wantError("open", remove(someStudy), panel.ErrWrongState)
		c.wantError("unknown", remove("nobody"), panel.ErrNotFound)
		c.export("second")
		c.must(remove("second"))
		c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
		c.wantError("exported before it was closed", remove(someStudy), panel.ErrNotExported)
		c.export(someStudy)
		c.must(remove(someStudy))
		same(c, "studies", got[[]panel.Study](c)(c.store.Studies(c.ctx)), nil)
	}},
}

func testCountersign(c *check) {
	signed := panel.Countersign{At: noon.Add(time.Hour), Name: "Dr. Renée Öst", StudyHash: "5eed", PlanHash: "b1a2"}
	sign := func() error {
		return c.store.CountersignStudy(c.ctx, someStudy, signed, entry(someStudy, "countersigned"))
	}
	c.wantError("unknown", sign(), panel.ErrNotFound)
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.wantError("a draft", sign(), panel.ErrWrongState)
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), plan(someStudy, 1, 0, 2, 2), nil, happened))
	c.must(sign())
	stored := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
	same(c, "countersigned", stored.Countersigned, signed)
	c.isUTC("Countersigned.At", stored.Countersigned.At)
	c.wantError("twice", sign(), panel.ErrWrongState)
	same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)),
		[]panel.Event{entry(someStudy, "countersigned")})

	c.must(c.store.CreateStudy(c.ctx, draft("rated"), "", happened))
	c.lockAnd("rated")
	c.must(c.store.OpenSitting(c.ctx, sittingOf("rated"), happened))
	guest := panel.Assessor{ID: "guest", StudyID: "rated", SittingID: "sitting of rated", JoinedAt: noon}
	a := got[panel.Assessor](c)(c.store.Seat(c.ctx, guest, "t", nil, seated))
	got[bool](c)(Rate(c.ctx, c.store, a.ID, turnID("rated", 0, 1), answers(turnID("rated", 0, 1), 1), noon))
	c.must(c.store.Withdraw(c.ctx, a.ID, noon, happened))
	c.wantError("after a rating, though it was "+
		"withdrawn", c.store.CountersignStudy(c.ctx, "rated", signed, happened), panel.ErrWrongState)
}

func testTimeStamp(c *check) {
	ask := func(request string) error {
		return c.store.RequestStamp(c.ctx, someStudy, []byte(request), noon.Add(time.Hour), entry(someStudy, request))
	}
	keep := func(answer string) error {
		return c.store.KeepStamp(c.ctx, someStudy, []byte(answer), noon.Add(2*time.Hour), entry(someStudy, answer))
	}
	c.wantError("unknown", ask("request"), panel.ErrNotFound)
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.wantError("of a draft", ask("request"), panel.ErrWrongState)
	c.lockAnd(someStudy)
	c.wantError("an answer before the request", keep("answer"), panel.ErrWrongState)
	c.wantError("none", second(c.store.TimeStamp(c.ctx, someStudy)), panel.ErrNotFound)
	c.must(ask("request"))
	c.must(ask("another"))
	want := panel.TimeStamp{Request: []byte("request"), RequestedAt: noon.Add(time.Hour)}
	same(c, "requested", got[panel.TimeStamp](c)(c.store.TimeStamp(c.ctx, someStudy)), want)
	c.must(keep("answer"))
	c.wantError("a second answer", keep("another"), panel.ErrWrongState)
	want.Answer, want.AnsweredAt = []byte("answer"), noon.Add(2*time.Hour)
	same(c, "stamped", got[panel.TimeStamp](c)(c.store.TimeStamp(c.ctx, someStudy)), want)
	c.must(ask("another"))
	same(c, "stamped, asked again", got[panel.TimeStamp](c)(c.store.TimeStamp(c.ctx, someStudy)), want)
	same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)),
		[]panel.Event{entry(someStudy, "request"), entry(someStudy, "answer")})
}

func testExport(c *check) {
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	exported := func(want bool, after string) {
		c.Helper()
		same(c, "exported, after "+after, !got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).ExportedAt.IsZero(),
			want)
	}
	old := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
	c.export(someStudy)
	exported(true, "export")
	c.must(c.store.ArchiveStudy(c.ctx, someStudy, noon, happened))
	exported(true, "archiving")
	c.save(1, "changed")
	exported(false, "saving")
	c.wantError("export of the text before", c.store.NoteExport(c.ctx, old, noon, happened), panel.ErrStale)
	steps := []struct {
		after string
		do    func() error
	}{
		{"undo", func() error { return second(c.store.StepDraft(c.ctx, someStudy, 2, -1)) }},
		{"photo", func() error {
			return c.store.SetPhoto(c.ctx, someStudy, panel.Photo{Dish: "d", JPEG: []byte("x")})
		}},
		{"photo removed", func() error { return c.store.SetPhoto(c.ctx, someStudy, panel.Photo{Dish: "d"}) }},
		{"lock", func() error {
			return c.store.LockStudy(c.ctx, someStudy, 3, someLock(), plan(someStudy, 1, 0, 1, 1), nil, happened)
		}},
		{"countersignature", func() error {
			return c.store.CountersignStudy(c.ctx, someStudy, panel.Countersign{At: noon, Name: "R"}, happened)
		}},
		{"request for a time stamp", func() error {
			return c.store.RequestStamp(c.ctx, someStudy, []byte("x"), noon, happened)
		}},
		{"time stamp", func() error { return c.store.KeepStamp(c.ctx, someStudy, []byte("x"), noon, happened) }},
		{"opening", func() error { return c.store.OpenSitting(c.ctx, sitting(1), happened) }},
		{"close", func() error { return c.store.CloseStudy(c.ctx, someStudy, noon, happened) }},
	}
	for _, step := range steps {
		c.export(someStudy)
		c.must(step.do())
		exported(false, step.after)
	}
}

// export notes an export of a study as it stands.
func (c *check) export(id panel.StudyID) {
	c.Helper()
	stored := got[panel.Study](c)(c.store.Study(c.ctx, id))
	c.must(c.store.NoteExport(c.ctx, stored, noon, happened))
}

// buried is the tombstone of these tests.
func buried(gone panel.Study, p panel.Progress, end panel.LogEnd) panel.Event {
	e := entry("", "deleted")
	e.Detail = fmt.Sprintf("%s, %d entries", gone.ID, end.Number)
	if p.Servings > 0 {
		e.Detail += ", rated"
	}
	return e
}

// fullStudy makes a closed study that has something in every table, and a draft beside it. It
// returns who tasted and an act that was logged once.
func (c *check) fullStudy() (panel.Assessor, panel.Event) {
	c.Helper()
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", entry(someStudy, "begun")))
	c.must(c.store.CreateStudy(c.ctx, draft("other"), "", entry("other", "begun")))
	c.must(c.store.SetPhoto(c.ctx, someStudy, panel.Photo{Dish: "d", JPEG: []byte("x")}))
	c.must(c.store.LockStudy(c.ctx, someStudy, 1, someLock(), plan(someStudy, 1, 0, 2, 2),
		[]panel.Spare{{Sitting: 1, Code: "777"}}, happened))
	c.must(c.store.CountersignStudy(c.ctx, someStudy, panel.Countersign{At: noon, Name: "R"}, happened))
	c.must(c.store.RequestStamp(c.ctx, someStudy, []byte("x"), noon, happened))
	c.must(c.store.OpenSitting(c.ctx, sitting(1), happened))
	a := c.seat(1)
	c.must(c.store.Decline(c.ctx, someSitting, "nonce", panel.NoTime, noon, happened))
	c.must(second(c.store.Drop(c.ctx, servingID(someStudy, 0, 2), codeOf(c, servingID(someStudy, 0, 2)), noon,
		happened)))
	act := event("left")
	act.ActID = "made-on-a-phone"
	c.must(c.store.NoteAssessor(c.ctx, a.ID, panel.AssessorNote{Left: &noon}, act))
	c.rate(a, 1, 1)
	c.submit(submission("correction", a, 1, 2), panel.Corrected)
	c.must(c.store.AppendTemperature(c.ctx, panel.Measured{SittingID: someSitting, Wave: 1, Dish: "d", Celsius: 60,
		At: noon}, happened))
	c.must(second(c.store.StaffLink(c.ctx, someSitting, panel.RoleFloor, "link")))
	floor := panel.Session{Role: panel.RoleFloor, StudyID: someStudy, SittingID: someSitting, Expires: noon}
	c.must(second(c.store.JoinStaff(c.ctx, "link", 0, "floor's", floor, happened)))
	c.must(c.store.CloseStudy(c.ctx, someStudy, noon, happened))
	return a, act
}

// testDelete deletes a study that has something in every table.
func testDelete(c *check) {
	a, act := c.fullStudy()
	c.export(someStudy)

	c.must(c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{}, buried))
	tombstone := entry("", "deleted")
	tombstone.Detail = someStudy + ", 2 entries, rated"
	same(c, "log of the service", got[[]panel.Event](c)(c.store.Events(c.ctx, "")), []panel.Event{tombstone})
	same(c, "log of the study", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)), nil)
	for what, err := range map[string]error{
		"study": second(c.store.Study(c.ctx, someStudy)), "sitting": second(c.store.Sitting(c.ctx, someSitting)),
		"assessor": second(c.store.Assessor(c.ctx, a.ID)), "session": second(c.store.Session(c.ctx, "floor's")),
		"link": second(c.store.StaffLinkByToken(c.ctx, "link")), "photo": second(c.store.Photo(c.ctx, someStudy, "d")),
		"stamp":   second(c.store.TimeStamp(c.ctx, someStudy)),
		"turn":    second(c.store.Turn(c.ctx, turnID(someStudy, 0, 1))),
		"serving": second(c.store.TurnOf(c.ctx, servingID(someStudy, 0, 1))),
	} {
		c.wantError(what, err, panel.ErrNotFound)
	}
	same(c, "act", got[bool](c)(c.store.Acted(c.ctx, someStudy, act.ActID)), false)
	same(c, "temperatures", got[[]panel.Measured](c)(c.store.Temperatures(c.ctx, someSitting)), nil)
	same(c, "the other study", got[panel.Study](c)(c.store.Study(c.ctx, "other")), draft("other"))
	same(c, "log of the other study", got[[]panel.Event](c)(c.store.Events(c.ctx, "other")),
		[]panel.Event{entry("other", "begun")})
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened)) // the id is free again: no row is in the way
}
