package study

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/token"
)

// noSpace is a comment right behind the sign of a paragraph, which is none in
// YAML, and one or not to the library.
var noSpace = regexp.MustCompile(`[|>][-+0-9]*#`)

// commentsOf are the comments of a text, sorted. The library takes the last # for
// nothing where a file ends without a line break.
func commentsOf(src []byte) []string {
	var all []string
	text := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(bytes.TrimPrefix(src, []byte("\ufeff"))))
	for _, t := range lexer.Tokenize(text + "\n") {
		if t.Type == token.CommentType {
			all = append(all, strings.TrimSpace(t.Value))
		}
	}
	slices.Sort(all)
	return all
}

// FuzzText holds for any text, path and value: an edit that is refused changes no
// byte; a value that is set reads back, and no other value and no comment
// changes with it; what is removed is gone; what is put in another place of a
// list comes back to its own.
func FuzzText(f *testing.F) {
	for _, file := range files(f) {
		f.Add([]byte(read(f, file)), "dishes[0].title", "a: b")
		f.Add([]byte(read(f, file)), "samples[0]", "x")
	}
	_, cases := readMistakes(f)
	for i := 0; i < len(cases); i += 10 {
		f.Add([]byte(cases[i].source(f)), "panel.assessors", "12")
	}
	for _, s := range awkward {
		f.Add([]byte("cloche: 1 # a\n# b\ntitle: "+s+"\n"), "title", s)
		f.Add([]byte("a: {b: [c, # d\n e], f: "+s+"}\n"), "a.b[1]", s)
	}
	f.Add([]byte(""), `translations.fr.also contains."a.b"`, "a\nb")
	f.Add([]byte("# a\n"), "a[0].b[0]", "")
	f.Add([]byte("\ufeffa:\r\n- b: 1 # c\r\n  # d\r\n- e: |+ # f\r\n   g\r\n\r\n"), "a[1].e", "h\r\ni")
	f.Fuzz(func(t *testing.T, src []byte, path, value string) {
		text, problems := OpenText("f", src)
		if (text == nil) == (len(problems) == 0) {
			t.Fatalf("text %v with problems %v", text, problems)
		}
		if text == nil {
			if _, want := Parse("f", src); !slices.Equal(messages(problems), messages(want)) {
				t.Fatalf("%q, and of Parse %q", messages(problems), messages(want))
			}
			return
		}
		if len(src) > 1<<14 {
			return
		}
		if !bytes.Equal(text.Bytes(), src) {
			t.Fatal("opening changes the text")
		}
		places := []string{path}
		if all := paths(text); len(all) > 0 {
			places = append(places, all[len(path)%len(all)])
		}
		for _, path := range places {
			if steps, err := parsePath(path); err == nil {
				path = writePath(steps)
			}
			fuzzSet(t, text, path, value)
			fuzzList(t, text, path, value)
			fuzzRemove(t, text, path)
		}
	})
}

// twice reports whether a key is written twice somewhere in a value.
func twice(p *node) bool {
	seen := map[string]bool{}
	for _, e := range p.entries {
		if p.kind == block && seen[e.name] || twice(e.value) {
			return true
		}
		seen[e.name] = true
	}
	return false
}

// made makes an edit and reports whether it was made; one that is refused
// must not change the text.
func made(t *testing.T, text *Text, err error, before []byte) bool {
	t.Helper()
	if err == nil {
		return true
	}
	if !bytes.Equal(before, text.Bytes()) {
		t.Fatalf("%v, and the text is changed:\n%s", err, lineDiff(string(before), string(text.Bytes())))
	}
	return false
}

func fuzzSet(t *testing.T, text *Text, path, value string) {
	src, was, values := text.Bytes(), text.Value(path), valuesOf(text)
	steps, _ := parsePath(path)
	again := twice(text.root)
	isBlock := text.Has(path) && !text.at(path).isSingle()
	if !made(t, text, text.Set(path, value), src) {
		return
	}
	now := text.Bytes()
	value = soundText(value)
	switch {
	case was == value:
		if !bytes.Equal(src, now) {
			t.Fatalf("%s is %q already, and the text changes:\n%s", path, value, lineDiff(string(src), string(now)))
		}
		return
	case value == "" && steps[len(steps)-1].isKey():
		if text.Has(path) && !again {
			t.Fatalf("%s is there still:\n%s", path, now)
		}
		return
	case text.Value(path) != value:
		t.Fatalf("%s is %q, want %q\n%s", path, text.Value(path), value, now)
	}
	for p, v := range valuesOf(text) {
		old, ok := values[p]
		if (!ok || old != v) && !strings.HasPrefix(p, path) && p != "cloche" {
			t.Fatalf("%s is %q, was %q, after %s = %q:\n%s", p, v, old, path, value, lineDiff(string(src), string(now)))
		}
	}
	if before, after := commentsOf(src), commentsOf(now); !isBlock && !slices.Equal(before, after) &&
		!noSpace.Match(src) {
		t.Fatalf("comments %q, were %q, after %s = %q:\n%s", after, before, path, value,
			lineDiff(string(src), string(now)))
	}
}

func fuzzList(t *testing.T, text *Text, path, value string) {
	src := text.Bytes()
	values := strings.Split(value, " ")
	if made(t, text, text.SetList(path, values), src) && !slices.Equal(text.List(path), soundTexts(values)) {
		t.Fatalf("%s is %q, want %q\n%s", path, text.List(path), values, text.Bytes())
	}
	n := text.Len(path)
	if n < 2 {
		return
	}
	src = text.Bytes()
	if !made(t, text, text.Move(path+"[0]", n-1), src) {
		return
	}
	if err := text.Move(path+"["+string(rune('0'+min(9, n-1)))+"]", 0); err != nil {
		t.Fatalf("moved there and not back: %v\n%s", err, src)
	}
	if n <= 10 && !bytes.Equal(src, text.Bytes()) {
		t.Fatalf("moved there and back:\n%s", lineDiff(string(src), string(text.Bytes())))
	}
}

func soundTexts(values []string) []string {
	values = slices.Clone(values)
	for i, v := range values {
		values[i] = soundText(v)
	}
	return values
}

func fuzzRemove(t *testing.T, text *Text, path string) {
	src, values := text.Bytes(), valuesOf(text)
	had := text.Has(path)
	if !made(t, text, text.Remove(path), src) {
		return
	}
	if !had && !bytes.Equal(src, text.Bytes()) {
		t.Fatalf("%s was not there, and the text changes:\n%s", path, lineDiff(string(src), string(text.Bytes())))
	}
	for p := range values {
		_, ok := valuesOf(text)[p]
		if had && !ok && !strings.HasPrefix(p, strings.TrimRight(path, "0123456789[]")) && !strings.HasPrefix(path, p) {
			t.Fatalf("%s goes with %s:\n%s", p, path, lineDiff(string(src), string(text.Bytes())))
		}
	}
}
