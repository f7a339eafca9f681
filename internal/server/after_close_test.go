package server_test

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"cloche/internal/panel"
)

const cameAfterClose = "arrived after the tasting was closed"

// TestPhoneIsToldOfAnswersAfterClose: a phone keeps answers without network while
// the study is closed. When the network is back, it says what became of them, and
// says so again when the page is opened once more.
func TestPhoneIsToldOfAnswersAfterClose(t *testing.T) {
	f := newFixture(t)
	net := f.network()
	id, join := f.inState(custard, panel.Open)
	ballot := f.room() + f.begun(join)
	ctx := browser(t, 360, 740, false)
	run(t, ctx, chromedp.Navigate(ballot))
	net.away.Store(true)
	answer(t, ctx, "20", "3")
	says(t, ctx, "#outbox", "kept on this phone")
	f.must(f.svc.Close(t.Context(), id))
	net.away.Store(false)
	eval[bool](t, ctx, `window.dispatchEvent(new Event("online"))`)
	says(t, ctx, "h1", "The tasting is over")
	for range 2 {
		says(t, ctx, "main", cameAfterClose)
		if got := text(t, ctx, "main"); strings.Contains(got, "have been received") {
			t.Errorf("answers that do not count are called received: %s", got)
		}
		run(t, ctx, chromedp.Reload())
	}
	if got := f.held(id); got != "" {
		t.Errorf("held: %s, want nothing to analyse", got)
	}
	late := f.inPackage(id, "late.csv")
	if !strings.Contains(late, "salt,20") || !strings.Contains(late, "liking,3") {
		t.Errorf("late.csv:\n%s", late)
	}
}

// inPackage reads a file of the data package as the lead downloads it.
func (f *fixture) inPackage(id, name string) string {
	f.t.Helper()
	data := f.lead().get("/studies/" + id + "/data.zip").body
	archive, err := zip.NewReader(bytes.NewReader([]byte(data)), int64(len(data)))
	f.must(err)
	for _, x := range archive.File {
		if !strings.HasSuffix(x.Name, name) {
			continue
		}
		r, err := x.Open()
		f.must(err)
		content, err := io.ReadAll(r)
		f.must(err)
		return string(content)
	}
	f.t.Fatalf("the package has no %s", name)
	return ""
}

// TestFormAfterCloseSaysWhatBecameOfIt: without scripts the page that follows says it.
func TestFormAfterCloseSaysWhatBecameOfIt(t *testing.T) {
	f := newFixture(t)
	id, v, p := f.seated(custard)
	f.must(f.svc.Close(t.Context(), id))
	after := v.post(p.action(), "id", "a-form-that-was-open", "a1", "20", "a2", "3")
	if !strings.Contains(after.html().Find("main").Text(), cameAfterClose) {
		t.Errorf("after close: %s", after.html().Find("main").Text())
	}
}

// TestClosePageSaysWhoIsStillOut reads the board and the page that asks before closing.
func TestClosePageSaysWhoIsStillOut(t *testing.T) {
	f := newFixture(t)
	id, v, p := f.seated(custard)
	lead := f.lead()
	reads := func(path string, want, not string) {
		t.Helper()
		got := strings.Join(strings.Fields(lead.get(path).html().Find("main").Text()), " ")
		if !strings.Contains(got, want) || not != "" && strings.Contains(got, not) {
			t.Errorf("%s: want %q and not %q in\n%s", path, want, not, got)
		}
	}
	study := "/studies/" + id
	reads(study+"/close", "One phone has not finished.", "not been heard from")
	f.clock.pass(panel.SilentAfter + time.Second)
	reads(study+"/close", "One phone has not finished, and not been heard from for ten minutes or more.", "One phone has not finished.")
	reads(study, "1 phone not heard from for ten minutes or more", "")
	v.get(p.path)
	reads(study+"/close", "One phone has not finished.", "not been heard from")
}
