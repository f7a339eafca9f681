package study

import (
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func open(t testing.TB, src string) *Text {
	t.Helper()
	text, problems := OpenText("f", []byte(src))
	if text == nil {
		t.Fatalf("not opened: %q\n%s", messages(problems), src)
	}
	return text
}

// edit makes the edits of a script: "set PATH = VALUE" with \n and such in Go's
// quotes, "list PATH = a | b", "remove PATH", "move PATH N", one a line.
func edit(t testing.TB, text *Text, script string) error {
	t.Helper()
	for _, line := range strings.Split(script, "\n") {
		do, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		path, value, _ := strings.Cut(rest, " = ")
		var err error
		switch do {
		case "set":
			err = text.Set(path, unquoted(t, value))
		case "list":
			err = text.SetList(path, strings.Split(value, " | "))
		case "remove":
			err = text.Remove(path)
		case "move":
			path, to, _ := strings.Cut(rest, " to ")
			n := int(to[0] - '0')
			err = text.Move(path, n)
		default:
			t.Fatalf("edit %q", line)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func unquoted(t testing.TB, s string) string {
	t.Helper()
	if !strings.HasPrefix(s, `"`) {
		return s
	}
	v, err := strconv.Unquote(s)
	if err != nil {
		t.Fatalf("%s: %v", s, err)
	}
	return v
}

// Edits of a file by its author's hand, read line by line: what goes is marked
// with -, what comes with +.
func TestTextEditsOfAnExample(t *testing.T) {
	src := read(t, "../../studies/celeriac-custard.yaml")
	for _, tc := range []struct{ edits, diff string }{
		{"set title = Is it \"salty\"?", `
-title: Does its name change how salty a celeriac custard tastes?
+title: "Is it \"salty\"?"`},
		{"set dishes[0].alcohol = true", `
+    alcohol: true`},
		{"set samples[2].dish = custard\nset samples[2].id = C", `
+  - id: C
+    dish: custard`},
		{"list dishes[0].allergens = eggs | celery | mustard", `
-    allergens: [eggs, milk, celery]
+    allergens: [eggs, celery, mustard]`},
		{"remove dishes[0].also contains[0]", `
-    also contains: [nutmeg]`},
		{"set attributes[3].scale.line[0] = bad", `
-    scale: hedonic-9
+    scale: {line: [bad]}`},
		{"set serving.strata[0].id = guest\nlist serving.strata[0].levels = new | regular", `
+  strata:
+    - {id: guest, levels: [new, regular]}`},
		{"remove panel.assessors", `
-panel:
-  assessors: 40
-`},
		{"set panel.assessors = abc\nset panel.seats = 12", `
-  assessors: 40
+  assessors: abc
+  seats: 12`},
		{"set texts.thanks = \"a\\n\\nb\"", `
-  thanks: Thank you. You are done. Please don’t discuss the food until everyone has finished.
+  thanks: |-
+    a
+
+    b`},
	} {
		t.Run(tc.edits, func(t *testing.T) {
			text := open(t, src)
			if err := edit(t, text, tc.edits); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(strings.TrimPrefix(tc.diff, "\n"), lineDiff(src, string(text.Bytes()))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// lineDiff is the one stretch of lines in which two texts differ.
func lineDiff(a, b string) string {
	old, now := strings.Split(a, "\n"), strings.Split(b, "\n")
	for len(old) > 0 && len(now) > 0 && old[0] == now[0] {
		old, now = old[1:], now[1:]
	}
	for len(old) > 0 && len(now) > 0 && old[len(old)-1] == now[len(now)-1] {
		old, now = old[:len(old)-1], now[:len(now)-1]
	}
	var lines []string
	for _, line := range old {
		lines = append(lines, "-"+line)
	}
	for _, line := range now {
		lines = append(lines, "+"+line)
	}
	return strings.Join(lines, "\n")
}

// What stands at paths, read from a file of every style.
func TestTextReads(t *testing.T) {
	text := open(t, `# a
title: 'It''s' # b
"serve at": 55.0
none:
empty: ""
flag: true
folded: >
  One
  two.

  Three.

list: [a, "b, c", 3, {d: e}, ]
"a.b [c]": {"": x}
blocks:
- k: 1
  l: 2
- text
title: again
`)
	values := map[string]string{
		"title": "It's", "serve at": "55.0", "none": "", "empty": "", "flag": "true", "folded": "One two.\nThree.",
		"list": "", "list[1]": "b, c", "list[2]": "3", "list[3].d": "e", `"a.b [c]".""`: "x", "blocks[0].l": "2",
		"blocks[1]": "text",
		"":          "", "a.b [c]": "", "list[4]": "", "title.x": "", "blocks[0][0]": "", "list.a": "", "list[01]": "",
	}
	for path, want := range values {
		if got := text.Value(path); got != want {
			t.Errorf("Value(%s) = %q, want %q", path, got, want)
		}
	}
	for path, want := range map[string]bool{"none": true, "list[3]": true, "list[4]": false, "x": false, "": false,
		"title[0]": false} {
		if got := text.Has(path); got != want {
			t.Errorf("Has(%s) = %v", path, got)
		}
	}
	if diff := cmp.Diff([]string{"a", "b, c", "3", ""}, text.List("list")); diff != "" {
		t.Error(diff)
	}
	if text.List("title") != nil || text.Len("list") != 4 || text.Len("blocks[0]") != 0 {
		t.Errorf("List(title) = %q, Len(list) = %d, Len(blocks[0]) = %d", text.List("title"), text.Len("list"),
			text.Len("blocks[0]"))
	}
	if diff := cmp.Diff([]string{"k", "l"}, text.Keys("blocks[0]")); diff != "" {
		t.Error(diff)
	}
	if keys := text.Keys(""); len(keys) != 10 || keys[0] != "title" || keys[1] != "serve at" {
		t.Errorf("Keys of the file: %q", keys)
	}
}

// What cannot be done is an error that says why, and changes nothing.
func TestTextRefuses(t *testing.T) {
	const src = "title: x # a\nlist: [a]\nblocks:\n  - k: 1\nattributes:\n  - scale: hedonic-9\n"
	for _, tc := range []struct{ edit, want string }{
		{"set  = x", "is not a path"},
		{"set a..b = x", "is not a path"},
		{"set .a = x", "is not a path"},
		{"set a. = x", "is not a path"},
		{"set [0] = x", "is not a path"},
		{"set a[ = x", "is not a path"},
		{"set a[-1] = x", "is not a path"},
		{"set a[+1] = x", "is not a path"},
		{"set a[01] = x", "is not a path"},
		{"set a[99999999999999999999] = x", "is not a path"},
		{"set a[0]b = x", "is not a path"},
		{"set a]b = x", "is not a path"},
		{`set "a = x`, "is not a path"},
		{`set a"b = x`, "is not a path"},
		{"set " + strings.Repeat("a.", 40) + "a = x", "is not a path"},
		{"list a. = x", "is not a path"},
		{"remove a.", "is not a path"},
		{"move a. to 0", "is not a path"},
		{"set title.x = y", "there is no title.x: title is a single value"},
		{"set title[0] = y", "there is no title[0]: title is a single value"},
		{"set list.x = y", "there is no list.x: list is a list"},
		{"set blocks[0][0] = y", "there is no blocks[0][0]: blocks[0] is a block of keys"},
		{"list title.x = y", "there is no title.x"},
		{"set attributes[0].scale[0] = y", "attributes[0].scale is a single value"},
		{"set list[2] = y", "list[2] is out of range: the list has 1 item"},
		{"set blocks[2].k = y", "out of range: the list has 1 item"},
		{"set new[1] = y", "new[1] is out of range: the list has 0 items"},
		{"set new.a[1].b = y", "out of range"},
		{"remove list[1]", "there is no item list[1]"},
		{"remove blocks[1].k", "there is no item blocks[1].k"},
		{"remove title.x", "there is no title.x"},
		{"remove list.x", "there is no list.x"},
		{"move list[1] to 0", "there is no item list[1]"},
		{"move title to 0", "there is no item title"},
		{"move new[0] to 0", "there is no item new[0]"},
		{"move list[0] to 1", "list[0] cannot become item 1: the list has 1 item"},
	} {
		text := open(t, src)
		err := edit(t, text, tc.edit)
		if err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s: %v, want %q", tc.edit, err, tc.want)
		}
		if string(text.Bytes()) != src {
			t.Errorf("%s changes the text:\n%s", tc.edit, text.Bytes())
		}
	}
}

// What is there already, or is nothing where nothing is, changes no byte.
func TestTextLeavesAlone(t *testing.T) {
	const src = "\ufefftitle:   'x'\r\nnone:\r\nempty: ''\r\nlist:\r\n- a # b\r\n-   \"c\"\r\nwords: >+\r\n  d\r\n " +
		" e\r\n\r\n  f\r\n\r\n"
	for _, e := range []string{
		"set title = x", `set none = ""`, `set empty = ""`, "list list = a | c", "set list[1] = c",
		`set words = "d e\r\nf"`,
		`set new = ""`, `set new.a[0].b = ""`, `set list = ""`, `set title.x = ""`, `set list[7] = ""`, "remove new",
		"remove new.x", "move list[1] to 1",
	} {
		text := open(t, src)
		if err := edit(t, text, e); err != nil {
			t.Errorf("%s: %v", e, err)
		}
		if string(text.Bytes()) != src {
			t.Errorf("%s: %q", e, lineDiff(src, string(text.Bytes())))
		}
	}
}

// An empty list of allergens says that there are none, which is not the same as
// not to say.
func TestSetListOfNone(t *testing.T) {
	text := open(t, "dishes:\n  - id: a\n    allergens: [milk] # all\n")
	for _, tc := range []struct {
		values []string
		want   string
	}{
		{[]string{}, "dishes:\n  - id: a\n    allergens: [] # all\n"},
		{[]string{"eggs"}, "dishes:\n  - id: a\n    allergens: [eggs] # all\n"},
		{nil, "dishes:\n  - id: a\n"},
		{[]string{}, "dishes:\n  - id: a\n    allergens: []\n"},
	} {
		if err := text.SetList("dishes[0].allergens", tc.values); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(tc.want, string(text.Bytes())); diff != "" {
			t.Errorf("%q: %s", tc.values, diff)
		}
	}
	if err := text.SetList("dishes[0].also contains", []string{}); err != nil || text.Has("dishes[0].also contains") {
		t.Errorf("%v\n%s", err, text.Bytes())
	}
}

// A file that is not YAML does not open, with the problems that Parse has.
func TestOpenTextRefuses(t *testing.T) {
	for _, src := range []string{"title: \"x", "a: &b c", "a:\n\tb: c", "a: \xff", strings.Repeat("a", maxBytes+1)} {
		text, problems := OpenText("f", []byte(src))
		_, want := Parse("f", []byte(src))
		if text != nil || len(problems) == 0 {
			t.Fatalf("%.20q opens", src)
		}
		if diff := cmp.Diff(want, problems); diff != "" {
			t.Errorf("%.20q: %s", src, diff)
		}
	}
}

// Every path that the reader gives to a mistake is one that the editor knows.
func TestProblemsHavePaths(t *testing.T) {
	_, cases := readMistakes(t)
	for _, m := range cases {
		_, problems := Parse("f", []byte(m.source(t)))
		for _, p := range problems {
			if _, err := parsePath(p.Path); err != nil && p.Path != "" {
				t.Errorf("%s: %v: %v", m.head, p, err)
			}
		}
	}
}

// The places of all values are known in every file that a person may write.
func TestPlacesAreKnown(t *testing.T) {
	var all []string
	for _, file := range files(t) {
		all = append(all, read(t, file))
	}
	for _, tc := range textCases {
		all = append(all, tc.before)
	}
	_, cases := readMistakes(t)
	for _, m := range cases {
		all = append(all, m.source(t))
	}
	for _, src := range all {
		if text, _ := OpenText("f", []byte(src)); text != nil && text.crowded && text.root.kind == block {
			t.Errorf("not known:\n%s", src)
		}
	}
}
