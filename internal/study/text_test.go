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
-  thanks: Thank you. You are done. Please leave the talk about the food until everyone has finished.
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
