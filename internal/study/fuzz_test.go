package study

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
)

// FuzzParse holds for any bytes: mistakes have a place inside the file, stand in
// order and say what to write; a study that is read is written so that the same
// study is read back.
func FuzzParse(f *testing.F) {
	for _, file := range files(f) {
		f.Add([]byte(read(f, file)))
	}
	_, cases := readMistakes(f)
	for _, m := range cases {
		f.Add([]byte(m.source(f)))
	}
	for _, s := range awkward {
		f.Add([]byte("cloche: 1\ntitle: " + s + "\n"))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		s, problems := Parse("f", src)
		if (s == nil) == (len(problems) == 0) {
			t.Fatalf("study %v with %d problems", s, len(problems))
		}
		checkPlaces(t, src, problems)
		checkHalfRead(t, src, problems)
		if s == nil {
			return
		}
		written := Format(s)
		again, problems := Parse("written", written)
		if again == nil {
			t.Fatalf("the study is refused when written: %q\n%s", messages(problems), written)
		}
		if diff := cmp.Diff(s, again); diff != "" {
			t.Fatalf("study (-read +written and read):\n%s\n%s", diff, written)
		}
		if Hash(s) != Hash(again) {
			t.Fatalf("hash %s, written and read %s", Hash(s), Hash(again))
		}
	})
}

// checkHalfRead fails when Read finds other mistakes than Parse, or a study that
// the rest of the package cannot handle.
func checkHalfRead(t *testing.T, src []byte, want []Problem) {
	t.Helper()
	s, problems := Read("f", src)
	if diff := cmp.Diff(want, problems); diff != "" {
		t.Errorf("problems (-Parse +Read):\n%s", diff)
	}
	if s == nil {
		t.Fatal("Read gives no study")
	}
	if k := s.Question.Kind(); s.Question != "" && (k.ID != s.Question || k.Servings < 0) {
		t.Errorf("question %q", s.Question)
	}
	if len(s.Languages) == 0 || len(Hash(s)) != 64 || len(Format(s)) == 0 {
		t.Errorf("a study that cannot be shown: %+v", s)
	}
	servingsEach(s)
	for _, r := range NameRemarks(s) {
		if r.Code == "" || r.Text.String() == "" || r.Path == "" {
			t.Errorf("remark %+v", r)
		}
	}
	allergens, _ := s.AllergenUnion()
	for _, lang := range append(s.Languages, "fr", "") {
		for _, a := range s.In(lang).Attributes {
			if a.Scale.Kind == Categories && a.Scale.Holds(a.Scale.Max()+1) {
				t.Errorf("scale %+v holds more than its labels", a.Scale)
			}
		}
		for _, a := range allergens {
			if a.TextIn(lang) == "" {
				t.Errorf("allergen %q has no words", a)
			}
		}
	}
}

// checkPlaces fails when a problem stands outside the file, out of order, or
// without its parts.
func checkPlaces(t *testing.T, src []byte, problems []Problem) {
	t.Helper()
	text := strings.TrimPrefix(string(src), "\ufeff")
	lines := strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n")
	var last Problem
	for _, p := range problems {
		if p.What.String() == "" || p.Instead.String() == "" {
			t.Errorf("%v lacks a part", p)
		}
		if strings.ContainsAny(p.Error(), "\n\r") {
			t.Errorf("%q is not one line", p.Error())
		}
		if p.Line < 1 || p.Line > len(lines) || p.Column < 1 || p.Column > utf8.RuneCountInString(lines[p.Line-1])+1 {
			t.Errorf("%v stands outside the file", p)
		}
		if p.Line < last.Line || p.Line == last.Line && p.Column < last.Column {
			t.Errorf("%v stands after %v", p, last)
		}
		last = p
	}
}
