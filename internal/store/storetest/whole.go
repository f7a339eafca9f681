package storetest

import (
	"bytes"
	"slices"
	"strings"
	"time"

	"cloche/internal/panel"
)

// testWhole writes a whole study that has something in every table, deletes it, and takes it back:
// as on a service that never had it.
func testWhole(c *check) {
	_, act := c.fullStudy()
	for i := range 12 { // more than one digit of them
		c.must(c.store.Decline(c.ctx, someSitting, panel.TokenHash(strings.Repeat("z", i+1)),
			panel.WhysNot[i%len(panel.WhysNot)], noon.Add(-time.Duration(i)*time.Minute), happened))
	}
	corrected := got[[]panel.Measured](c)(c.store.Temperatures(c.ctx, someSitting))
	c.must(c.store.AppendTemperature(c.ctx, panel.Measured{SittingID: someSitting, Wave: 1, Dish: "d", Celsius: 61,
		At: noon, Corrects: corrected[0].ID}, happened))
	c.wantError("a draft", c.store.WriteWhole(c.ctx, "other", &bytes.Buffer{}), panel.ErrWrongState)
	c.wantError("nothing", c.store.WriteWhole(c.ctx, "nobody", &bytes.Buffer{}), panel.ErrNotFound)
	lines := c.whole()
	for _, secret := range []string{"link", "floor's", "nonce", act.ActID, "zz"} {
		if bytes.Contains(lines, []byte(`"`+secret+`"`)) {
			c.Errorf("the lines hold %q:\n%s", secret, lines)
		}
	}
	c.wantError("while it is there", c.store.TakeWhole(c.ctx, someStudy, lines, happened), panel.ErrThere)
	turns := got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy))
	events := got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy))
	people := got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy))
	c.export(someStudy)
	c.must(c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{}, buried))

	_, ofLog, _ := bytes.Cut(lines, []byte(`{"table":"events"`))
	head, ofLog, _ := bytes.Cut(ofLog, []byte("\n"))
	first, _, _ := bytes.Cut(ofLog, []byte("\n"))
	foreign := bytes.Replace(first, []byte(`["`+someStudy+`",1,`), []byte(`["",99,`), 1)
	for what, spoilt := range map[string][]byte{
		"nothing":                nil,
		"the head alone":         lines[:bytes.IndexByte(lines, '\n')+1],
		"another study":          bytes.Replace(lines, []byte(someStudy), []byte("elsewhere"), 1),
		"another format":         bytes.Replace(lines, []byte(`"format":1`), []byte(`"format":2`), 1),
		"an unknown table":       bytes.Replace(lines, []byte(`"table":"photos"`), []byte(`"table":"settings"`), 1),
		"other columns":          bytes.Replace(lines, []byte(`"name":"jpeg"`), []byte(`"name":"picture"`), 1),
		"a log that was changed": bytes.Replace(lines, []byte(`"begun"`), []byte(`"began"`), 1),
		"a row of another":       bytes.Replace(lines, []byte(`["`+someStudy+`","d",`), []byte(`["other","d",`), 1),
		"a line for the service's log": slices.Concat(lines, []byte(`{"table":"events"`), head, []byte("\n"), foreign,
			[]byte("\n")),
		"what is no row": append(bytes.Clone(lines), "[1,2\n"...),
	} {
		err := c.store.TakeWhole(c.ctx, someStudy, spoilt, happened)
		if err == nil {
			c.Errorf("%s was taken", what)
		}
		c.wantError(what+": half of it", second(c.store.Study(c.ctx, someStudy)), panel.ErrNotFound)
		same(c, what+": turns", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy)), nil)
	}

	c.must(c.store.TakeWhole(c.ctx, someStudy, lines, entry("", "received")))
	same(c, "the lines again", string(c.whole()), string(lines))
	same(c, "turns", got[[]panel.Turn](c)(c.store.AllTurns(c.ctx, someStudy)), turns)
	same(c, "log", got[[]panel.Event](c)(c.store.Events(c.ctx, someStudy)), events)
	for i := range people {
		people[i].Seat, people[i].Table, people[i].TableSeat = "", 0, 0
	}
	same(c, "assessors", got[[]panel.Assessor](c)(c.store.Assessors(c.ctx, someStudy)), people)
	entries, end, err := c.store.Entries(c.ctx, someStudy)
	c.must(err)
	same(c, "faults in the log", panel.LogFaults(entries, end), nil)
	c.must(c.store.AppendEvent(c.ctx, entry(someStudy, "later")))
	entries, end, err = c.store.Entries(c.ctx, someStudy)
	c.must(err)
	same(c, "faults in the log that goes on", panel.LogFaults(entries, end), nil)
	log := got[[]panel.Event](c)(c.store.Events(c.ctx, ""))
	same(c, "the service's log", log[len(log)-1], entry("", "received"))
	same(c, "the other study", got[panel.Study](c)(c.store.Study(c.ctx, "other")), draft("other"))
}

// whole are the lines of the study.
func (c *check) whole() []byte {
	c.Helper()
	var b bytes.Buffer
	c.must(c.store.WriteWhole(c.ctx, someStudy, &b))
	return b.Bytes()
}

// testWholeVersions moves the second version of a study: the first comes along, the third does not.
func testWholeVersions(c *check) {
	c.must(c.store.CreateStudy(c.ctx, draft(someStudy), "", happened))
	c.lockAnd(someStudy)
	c.amend(someStudy, "second")
	c.lockAnd("second")
	c.must(c.store.OpenSitting(c.ctx, sittingOf("second"), happened))
	c.must(c.store.CloseStudy(c.ctx, "second", noon, happened))
	c.amend("second", "third")
	var lines bytes.Buffer
	c.must(c.store.WriteWhole(c.ctx, "second", &lines))
	before := got[[]panel.Study](c)(c.store.Versions(c.ctx, someStudy))
	for _, id := range []panel.StudyID{"third", "second"} {
		c.export(id)
		c.must(c.store.DeleteStudy(c.ctx, id, panel.Deletion{}, buried))
	}
	c.wantError("beside the first version", c.store.TakeWhole(c.ctx, "second", lines.Bytes(), happened), panel.ErrThere)
	c.export(someStudy)
	c.must(c.store.DeleteStudy(c.ctx, someStudy, panel.Deletion{}, buried))
	open := bytes.Replace(lines.Bytes(), []byte(`"closed"`), []byte(`"open"`), 1)
	if err := c.store.TakeWhole(c.ctx, "second", open, happened); err == nil {
		c.Error("a study that is open was taken")
	}
	c.must(c.store.TakeWhole(c.ctx, "second", lines.Bytes(), happened))
	same(c, "versions", got[[]panel.Study](c)(c.store.Versions(c.ctx, someStudy)), before[:2])
}
