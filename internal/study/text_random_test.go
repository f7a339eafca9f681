package study

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// valuesOf are the values of a text by their paths, read through what it offers
// to everybody; what holds nothing has an entry too.
func valuesOf(text *Text) map[string]string {
	all := map[string]string{}
	var walk func(path string)
	walk = func(path string) {
		keys, n := text.Keys(path), text.Len(path)
		for _, key := range keys {
			sub := PathKey(key)
			if path != "" {
				sub = path + "." + sub
			}
			walk(sub)
		}
		for i := range n {
			walk(fmt.Sprintf("%s[%d]", path, i))
		}
		if len(keys) == 0 && n == 0 {
			all[path] = text.Value(path)
		}
	}
	walk("")
	return all
}

func paths(text *Text) []string {
	var all []string
	for path := range valuesOf(text) {
		all = append(all, path)
	}
	slices.Sort(all)
	return all
}

// become turns a text into another, field by field as a form does.
func become(t *rapid.T, text, want *Text, path string) {
	must := func(err error) {
		if err != nil {
			t.Fatalf("%v\n%s", err, text.Bytes())
		}
	}
	sub := func(key string) string {
		if path == "" {
			return PathKey(key)
		}
		return path + "." + PathKey(key)
	}
	switch keys, list := want.Keys(path), want.List(path); {
	case keys != nil:
		for _, key := range text.Keys(path) {
			if !want.Has(sub(key)) {
				must(text.Remove(sub(key)))
			}
		}
		for _, key := range keys {
			become(t, text, want, sub(key))
		}
	case list == nil:
		must(text.Set(path, want.Value(path)))
	case want.Keys(path+"[0]") == nil:
		must(text.SetList(path, list))
	default:
		for n := text.Len(path); n > len(list); n-- {
			must(text.Remove(fmt.Sprintf("%s[%d]", path, n-1)))
		}
		for i := range list {
			become(t, text, want, fmt.Sprintf("%s[%d]", path, i))
		}
	}
}

// Any study becomes any other, or is written into an empty file, value by value.
func TestTextOfAnyStudyBecomesAnother(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := drawStudy(t)
		from := []byte{}
		if rapid.Bool().Draw(t, "from another") {
			from = Format(drawStudy(t))
		}
		text, _ := OpenText("", from)
		target, _ := OpenText("", Format(want))
		become(t, text, target, "")
		got, problems := Parse("", text.Bytes())
		if got == nil {
			t.Fatalf("refused: %q\n%s", messages(problems), text.Bytes())
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("study (-want +got):\n%s\n%s", diff, text.Bytes())
		}
		before := text.Bytes()
		become(t, text, target, "")
		if !bytes.Equal(before, text.Bytes()) {
			t.Fatal("the same values again change the text")
		}
	})
}

// drawTyped draws what a person may type into a field.
func drawTyped(t *rapid.T) string {
	return rapid.OneOf(
		rapid.SampledFrom(awkward), rapid.SampledFrom([]string{" a", "a ", "\ta", "a\tb", "a\n", "\na", "a\n\nb",
			"a\n b", "a\u2028b", "\ufeffa", "\x00", "a\r\nb", "\u0085", "…\n\t…", strings.Repeat("word ", 60) + "end",
			"a  " + strings.Repeat("word  ", 60) + "end"}),
		rapid.Custom(func(t *rapid.T) string { return drawText(t, "text", maxParagraph) }),
		rapid.String(),
	).Draw(t, "value")
}

var paragraphSign = regexp.MustCompile(`: [|>][-+]?$`)

// plant puts comments on lines of their own and beside values where a file may
// have them, and gives the comments.
func plant(t *rapid.T, src string) (string, []string) {
	lines := strings.Split(strings.TrimSuffix(src, "\n"), "\n")
	inside := map[int]bool{} // lines of paragraphs
	depth := -1
	for i, line := range lines {
		indent := len(line) - len(strings.TrimLeft(line, " "))
		if depth >= 0 && (line == "" || indent > depth) {
			inside[i] = true
			continue
		}
		depth = -1
		if paragraphSign.MatchString(line) {
			depth = indent
		}
	}
	var out, comments []string
	for i, line := range lines {
		comment := fmt.Sprintf("# planted %d: [", i)
		kind := rapid.IntRange(0, 9).Draw(t, "kind")
		indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
		if kind == 0 && !inside[i] && i > 0 && (i == 0 || !inside[i-1]) {
			out, comments = append(out, indent+comment), append(comments, comment)
		}
		if kind == 1 && !inside[i] && line != "" {
			line, comments = line+" "+comment, append(comments, comment)
		}
		if kind == 2 && line == "" && !inside[i] {
			out, comments = append(out, "", comment), append(comments, comment)
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n") + "\n", comments
}

// drawFile draws a study or one of the example files, with comments planted.
func drawFile(t *rapid.T, examples []string) (*Text, []string) {
	src := string(Format(drawStudy(t)))
	if rapid.Bool().Draw(t, "an example") {
		b, err := os.ReadFile(rapid.SampledFrom(examples).Draw(t, "file"))
		if err != nil {
			t.Fatal(err)
		}
		src = string(b)
	}
	src, comments := plant(t, src)
	if rapid.Bool().Draw(t, "CRLF") {
		src = "\ufeff" + strings.ReplaceAll(src, "\n", "\r\n")
	}
	text, problems := OpenText("", []byte(src))
	if text == nil {
		t.Fatalf("%q\n%s", messages(problems), src)
	}
	return text, comments
}

// Setting any value in any study reads back as what was set, leaves every other
// value, and keeps comments, line ends and the lines of everything else.
func TestSetInAnyStudy(t *testing.T) {
	examples := files(t)
	rapid.Check(t, func(t *rapid.T) {
		text, comments := drawFile(t, examples)
		src := string(text.Bytes())
		before := valuesOf(text)
		path := rapid.SampledFrom(paths(text)).Draw(t, "path")
		steps, _ := parsePath(path)
		_, holder, _ := text.root.walk(steps)
		spanned := max(1, len(holder.head))
		value := drawTyped(t)
		if value == "" {
			return
		}
		if err := text.Set(path, value); err != nil {
			t.Fatalf("%v\n%s", err, src)
		}
		checkSet(t, src, text, before, spanned, path, value)
		now := string(text.Bytes())
		for _, c := range comments {
			if strings.Count(now, c) != strings.Count(src, c) {
				t.Fatalf("%s = %q: comment %q is lost\n%s", path, value, c, lineDiff(src, now))
			}
		}
	})
}

// checkSet checks that setting a value changed that value, and no line beyond
// it.
func checkSet(t interface{ Fatalf(string, ...any) }, src string, text *Text, before map[string]string, spanned int,
	path, value string) {
	now := string(text.Bytes())
	value = soundText(value)
	after := valuesOf(text)
	if after[path] != value {
		t.Fatalf("%s is %q, want %q\n%s", path, after[path], value, now)
	}
	was := before[path]
	before[path] = value
	if diff := cmp.Diff(before, after); diff != "" {
		t.Fatalf("values (-before +after):\n%s\n%s", diff, lineDiff(src, now))
	}
	if was == value && src != now {
		t.Fatalf("the same value changes the text:\n%s", lineDiff(src, now))
	}
	if gone := strings.Count("\n"+lineDiff(src, now), "\n-"); gone > spanned {
		t.Fatalf("%s stood in %d lines and %d changed:\n%s", path, spanned, gone, lineDiff(src, now))
	}
	if strings.Contains(src, "\r\n") && strings.Contains(strings.ReplaceAll(now, "\r\n", ""), "\n") {
		t.Fatalf("line ends are mixed: %q", now)
	}
}

// Taking any value out of any study takes out one stretch of the text, leaves
// every other value, and takes no comment but those beside it and right above.
func TestRemoveFromAnyStudy(t *testing.T) {
	examples := files(t)
	rapid.Check(t, func(t *rapid.T) {
		text, _ := drawFile(t, examples)
		src := string(text.Bytes())
		steps, err := parsePath(rapid.SampledFrom(paths(text)).Draw(t, "path"))
		if err != nil {
			t.Fatal(err)
		}
		steps = steps[:rapid.IntRange(1, len(steps)).Draw(t, "steps")]
		path := writePath(steps)
		want := without(decoded(t, []byte(src)), steps)
		if err := text.Remove(path); err != nil {
			t.Fatalf("%s: %v\n%s", path, err, src)
		}
		now := string(text.Bytes())
		if diff := cmp.Diff(want, decoded(t, []byte(now))); diff != "" {
			t.Fatalf("%s (-want +got):\n%s\n%s", path, diff, lineDiff(src, now))
		}
		a := 0
		for a < len(now) && now[a] == src[a] {
			a++
		}
		if gone := len(src) - len(now); !strings.HasSuffix(src, now[a:]) &&
			!strings.Contains(lineDiff(src, now), "{}") || gone < 0 {
			t.Fatalf("%s goes in more than one piece:\n%s", path, lineDiff(src, now))
		}
	})
}

// Moving an item to any place gives the list in the new order and keeps every
// line; moving it back gives the same bytes.
func TestMoveInAnyStudy(t *testing.T) {
	examples := files(t)
	rapid.Check(t, func(t *rapid.T) {
		text, _ := drawFile(t, examples)
		src := string(text.Bytes())
		list := rapid.SampledFrom([]string{"dishes", "names", "samples", "attributes", "dishes[0].allergens",
			"analysis.compare", "serving.strata"}).Draw(t, "list")
		n := text.Len(list)
		if n < 2 {
			return
		}
		i, j := rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")
		if err := text.Move(fmt.Sprintf("%s[%d]", list, i), j); err != nil {
			t.Fatalf("%v\n%s", err, src)
		}
		now := string(text.Bytes())
		old, moved := items(t, src, list), items(t, now, list)
		item := old[i]
		want := slices.Insert(slices.Delete(slices.Clone(old), i, i+1), j, item)
		if diff := cmp.Diff(want, moved); diff != "" {
			t.Fatalf("(-want +got):\n%s\n%s", diff, lineDiff(src, now))
		}
		lines := func(s string) []string { return slices.Sorted(slices.Values(strings.Split(s, "\n"))) }
		if !slices.Equal(lines(src), lines(now)) && !strings.Contains(list, ".") {
			t.Fatalf("lines differ:\n%s", lineDiff(src, now))
		}
	})
}

func items(t *rapid.T, src, list string) []any {
	steps, err := parsePath(list)
	if err != nil {
		t.Fatal(err)
	}
	var at any = decoded(t, []byte(src))
	for _, s := range steps {
		if s.isKey() {
			at = at.(map[string]any)[s.key]
		} else {
			at = at.([]any)[s.index]
		}
	}
	return at.([]any)
}

// decoded is the text read by the library alone.
func decoded(t *rapid.T, src []byte) map[string]any {
	var v map[string]any
	if err := yaml.Unmarshal(bytes.ReplaceAll(bytes.TrimPrefix(src, []byte("\ufeff")), []byte("\r\n"), []byte("\n")),
		&v); err != nil {
		t.Fatal(err)
	}
	return v
}

// without is a value without what stands at a path; blocks and lists that would
// be empty go too, and items become empty.
func without(v any, steps []step) any {
	last := len(steps) == 1
	switch v := v.(type) {
	case map[string]any:
		c := maps.Clone(v)
		if !last {
			c[steps[0].key] = without(v[steps[0].key], steps[1:])
		}
		if last || c[steps[0].key] == nil {
			delete(c, steps[0].key)
		}
		if len(c) == 0 {
			return nil
		}
		return c
	case []any:
		c := slices.Clone(v)
		if last {
			c = slices.Delete(c, steps[0].index, steps[0].index+1)
		} else if c[steps[0].index] = without(v[steps[0].index], steps[1:]); c[steps[0].index] == nil {
			c[steps[0].index] = map[string]any{}
		}
		if len(c) == 0 {
			return nil
		}
		return c
	}
	return nil
}
