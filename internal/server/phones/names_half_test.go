package phones_test

import (
	"fmt"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestNamesAreReadByHalfOfThePanel takes four phones without scripts through a ballot: two read both names
// first, two are told of plates alone and are given no name before its plate, and none is told of the other half.
func TestNamesAreReadByHalfOfThePanel(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.ExpectingHalf, panel.Open)
	asked := 0
	for i := range 4 {
		w := &servertest.Watched{Visitor: f.Visitor()}
		p := w.Get("/join/" + string(join))
		p = w.Post("/join/"+string(join)+"/consent", "nonce", p.HTML().Find("input[name=nonce]").AttrOr("value", ""))
		ballot := p.Path
		told := strings.Contains(p.HTML().Find("main").Text(), "First you read 2 names")
		if strings.Contains(strings.ToLower(p.HTML().Find("main").Text()), "half") {
			t.Errorf("phone %d is told of halves: %s", i, p.HTML().Find("main").Text())
		}
		w.Reads(servertest.NameA, servertest.NameB)
		p = w.Post(ballot + "/start")
		if told {
			asked++
			for k := range 2 {
				if got, want := p.HTML().Find("h1").Text(), fmt.Sprintf("Before you taste: name %d of 2",
					k+1); got != want {
					t.Fatalf("phone %d: %q, want %q", i, got, want)
				}
				p = w.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "81", "a2", "5")
			}
		}
		name := p.HTML().Find(".name").Text()
		other := map[string]string{servertest.NameA: servertest.NameB, servertest.NameB: servertest.NameA}[name]
		if got := p.HTML().Find("h1").Text(); !strings.HasPrefix(got, "Serving 1 of 2") || other == "" {
			t.Fatalf("phone %d, asked %t: %q, %q", i, told, got, name)
		}
		w.Get(ballot + "/ahead")
		w.Get(ballot + "/offline")
		if !told {
			w.Reads(append(servertest.Canaries, other)...)
		}
		for range 2 {
			p = w.Post(p.HTML().Find("form").AttrOr("action", ""), "a1", "60", "a2", "7")
		}
		if got := p.HTML().Find("h1").Text(); got != "Thank you" {
			t.Errorf("phone %d ends at %q", i, got)
		}
		w.Reads(servertest.Canaries...)
	}
	if asked != 2 {
		t.Errorf("%d of 4 phones read names, want 2", asked)
	}
}

// TestRehearsalSaysWhichHalf: an invented assessor's screens say whether the half reads names, the whole
// panel's say nothing.
func TestRehearsalSaysWhichHalf(t *testing.T) {
	f := servertest.New(t)
	v := f.Lead()
	screens := map[string]int{}
	half := "/studies/" + string(f.Uploaded(servertest.ExpectingHalf)) + "/rehearsal/"
	for place := 1; place <= 4; place++ {
		p := v.Get(fmt.Sprint(half, place, "/en/3"))
		text, h1 := p.HTML().Find("aside").Text(), p.HTML().Find("h1").Text()
		said := "this assessor does not."
		if strings.HasPrefix(h1, "Before you taste") {
			said = "this assessor does."
		}
		if !strings.Contains(text, said) {
			t.Errorf("assessor %d at %q is told %q, want %q", place, h1, text, said)
		}
		screens[said]++
	}
	if screens["this assessor does."] != 2 {
		t.Errorf("of four assessors: %v", screens)
	}
	whole := v.Get("/studies/" + string(f.Uploaded(servertest.Expecting)) + "/rehearsal/1/en/3")
	if strings.Contains(whole.HTML().Find("aside").Text(), "half") {
		t.Error("where everybody is asked the rehearsal speaks of a half")
	}
}
