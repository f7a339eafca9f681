package storetest

import (
	"fmt"
	"sync"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// keep is how many texts of a draft these tests have kept for undo.
const keep = 3

func (c *check) save(revision int, file string) panel.Study {
	c.Helper()
	return got[panel.Study](c)(c.store.SaveDraft(c.ctx, someStudy, revision, file, keep))
}

func (c *check) step(revision, by int) panel.Study {
	c.Helper()
	return got[panel.Study](c)(c.store.StepDraft(c.ctx, someStudy, revision, by))
}

// stands compares what a draft is now with text, revision, and what can be undone
// and redone.
func (c *check) stands(what string, s panel.Study, text string, revision int, undo, redo bool) {
	c.Helper()
	want := draft(someStudy)
	want.File, want.Revision, want.CanUndo, want.CanRedo = text, revision, undo, redo
	same(c, what, s, want)
	same(c, what+", read again", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), want)
}

var draftTests = []namedTest{
	{"a draft is saved", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.must(c.store.CreateStudy(c.ctx, draft("other"), "", happened))
		c.stands("saved", c.save(1, "half done: ["), "half done: [", 2, true, false)
		c.stands("the same again", c.save(2, "half done: ["), "half done: [", 2, true, false)
		c.stands("emptied", c.save(2, ""), "", 3, true, false)
		same(c, "the other study", got[panel.Study](c)(c.store.Study(c.ctx, "other")), draft("other"))
	}},
	{"changes are undone and redone", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		first := draft(someStudy).File
		c.save(1, "two")
		c.save(2, "three")
		c.stands("undone", c.step(3, -1), "two", 4, true, true)
		c.stands("undone twice", c.step(4, -1), first, 5, false, true)
		c.wantError("undo the first text", second(c.store.StepDraft(c.ctx, someStudy, 5, -1)), panel.ErrNotFound)
		c.stands("redone", c.step(5, 1), "two", 6, true, true)
		c.stands("saved after undo", c.save(6, "four"), "four", 7, true, false)
		c.wantError("redo what is gone", second(c.store.StepDraft(c.ctx, someStudy, 7, 1)), panel.ErrNotFound)
		c.stands("undone again", c.step(7, -1), "two", 8, true, true)
	}},
	{"the last texts are kept", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		for n := range 6 {
			c.save(n+1, fmt.Sprint("text ", n))
		}
		revision := 7
		for ; got[panel.Study](c)(c.store.Study(c.ctx, someStudy)).CanUndo; revision++ {
			c.step(revision, -1)
		}
		c.stands("undone as far as it goes", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), "text 2", 7+keep,
			false, true)
	}},
	{"a draft that moved on is not overwritten", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.save(1, "theirs")
		for _, revision := range []int{0, 1, 3} {
			c.wantError("save", second(c.store.SaveDraft(c.ctx, someStudy, revision, "mine", keep)), panel.ErrStale)
			c.wantError("undo", second(c.store.StepDraft(c.ctx, someStudy, revision, -1)), panel.ErrStale)
			c.wantError("lock", c.store.LockStudy(c.ctx, someStudy, revision, someLock(), nil, nil, happened),
				panel.ErrStale)
		}
		c.stands("afterwards", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), "theirs", 2, true, false)
	}},
	{"of many who save at once one wins", testManySave},
	{"a locked study has no draft left", func(c *check) {
		c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
		c.save(1, "two")
		entry := panel.Event{At: noon, StudyID: someStudy, Who: "lead", What: "locked"}
		c.must(c.store.LockStudy(c.ctx, someStudy, 2, someLock(), nil, nil, entry))
		stored := got[panel.Study](c)(c.store.Study(c.ctx, someStudy))
		same(c, "can be undone or redone", stored.CanUndo || stored.CanRedo, false)
		same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)), []panel.Event{entry})
		c.wantError("save", second(c.store.SaveDraft(c.ctx, someStudy, 2, "x", keep)), panel.ErrWrongState)
		c.wantError("undo", second(c.store.StepDraft(c.ctx, someStudy, 2, -1)), panel.ErrWrongState)
		c.wantError("photo", c.store.SetPhoto(c.ctx, someStudy, panel.Photo{Dish: "d", JPEG: []byte("x")}),
			panel.ErrWrongState)
	}},
	{"photos belong to a study and a dish", testPhotos},
	{"an unknown draft is not found", func(c *check) {
		for _, id := range []panel.StudyID{"", "nobody", "zero\x00byte"} {
			c.wantError("save", second(c.store.SaveDraft(c.ctx, id, 1, "x", keep)), panel.ErrNotFound)
			c.wantError("undo", second(c.store.StepDraft(c.ctx, id, 1, -1)), panel.ErrNotFound)
			c.wantError("set photo", c.store.SetPhoto(c.ctx, id, panel.Photo{Dish: "d", JPEG: []byte("x")}),
				panel.ErrNotFound)
			c.wantError("photo", second(c.store.Photo(c.ctx, id, "d")), panel.ErrNotFound)
		}
	}},
}

func testManySave(c *check) {
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	errs := make([]error, 8)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() {
			_, errs[i] = c.store.SaveDraft(c.ctx, someStudy, 1, fmt.Sprint("text ", i), keep)
		})
	}
	all.Wait()
	won := 0
	for i, err := range errs {
		if err == nil {
			won++
			c.stands("winner", got[panel.Study](c)(c.store.Study(c.ctx, someStudy)), fmt.Sprint("text ", i), 2, true,
				false)
			continue
		}
		c.wantError("save that came later", err, panel.ErrStale)
	}
	same(c, "saves that were taken", won, 1)
}

func testPhotos(c *check) {
	picture := []byte{0xff, 0xd8, 0, '\'', '"', 0xfe}
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	for _, dish := range []study.DishID{"sorbet", "custard"} {
		c.must(c.store.SetPhoto(c.ctx, someStudy, panel.Photo{Dish: dish, JPEG: []byte("first")}))
	}
	c.must(c.store.SetPhoto(c.ctx, someStudy, panel.Photo{Dish: "custard", JPEG: picture}))
	same(c, "photo", got[panel.Photo](c)(c.store.Photo(c.ctx, someStudy, "custard")),
		panel.Photo{Dish: "custard", JPEG: picture})
	same(c, "dishes", got[[]study.DishID](c)(c.store.PhotoDishes(c.ctx, someStudy)),
		[]study.DishID{"custard", "sorbet"})
	c.must(c.store.CreateStudy(c.ctx, draft("copy"), someStudy, happened))
	c.must(c.store.SetPhoto(c.ctx, someStudy, panel.Photo{Dish: "custard"}))
	c.wantError("removed", second(c.store.Photo(c.ctx, someStudy, "custard")), panel.ErrNotFound)
	same(c, "photo of the copy", got[panel.Photo](c)(c.store.Photo(c.ctx, "copy", "custard")),
		panel.Photo{Dish: "custard", JPEG: picture})
	c.must(c.store.SetPhoto(c.ctx, "copy", panel.Photo{Dish: "never had one"}))
}
