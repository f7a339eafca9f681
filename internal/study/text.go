package study

import (
	"slices"
	"strings"
)

// Text is the text of a study file, which is edited value by value. What an edit
// does not touch keeps its comments, its order, its quotes and its line ends,
// byte for byte. The file may have mistakes: what stands at a path is text, and
// [Parse] judges it.
//
// A path is what the file has on the way to a value: keys with a dot between
// them, and places in lists from 0, as in dishes[0].serve at. [PathKey] writes
// keys that hold a dot or a bracket. A key that is written twice stands for its
// first place.
//
// After each edit the text is read again, and an edit that did anything but what
// was asked is not made.
type Text struct {
	file string
	src  []byte
	root *part // nil for a file without a value
	odd  bool  // it is read, but where its values stand is not known
}

// OpenText reads the text of a study file. A file that is no YAML, or holds what
// study files do without, gives these problems and no text. An empty file, or
// one with comments alone, opens.
//
// File is only a name for the messages.
func OpenText(file string, src []byte) (*Text, []Problem) {
	r := &reader{file: file}
	t := &Text{file: file, src: slices.Clone(src)}
	text, ok := r.clean(src)
	if !ok {
		return nil, r.sorted()
	}
	if !r.place(t, text) {
		return nil, r.sorted()
	}
	return t, nil
}

// place parses the text and finds the bytes of its values. A panic on an odd
// tree is, like one of the parser, this file's mistake.
func (r *reader) place(t *Text, text string) (ok bool) {
	defer func() {
		if recover() != nil {
			r.problem("", start, "this is not YAML that can be read", "write \"key: value\" lines, indented by spaces")
			ok = false
		}
	}()
	tree, ok := r.parse(text)
	if !ok {
		return false
	}
	body := bodyOf(tree)
	if body == nil {
		return true
	}
	first := body.GetToken()
	for first.Prev != nil {
		first = first.Prev
	}
	p := newPlacer(t.src, first)
	t.root = p.part(body, 0, false)
	ended := func(line string) bool { return strings.HasPrefix(line, "...") } // the parser reads on, and takes comments for nothing
	t.odd = slices.ContainsFunc(r.lines, ended) || !p.inOrder(t.root, 0, len(t.src))
	return true
}

// Bytes returns the text as it stands.
func (t *Text) Bytes() []byte { return slices.Clone(t.src) }

// find returns the value at a path, or nil.
func (t *Text) find(path string) *part {
	steps, err := parsePath(path)
	if err != nil {
		return nil
	}
	at, rest := t.walk(steps)
	if len(rest) > 0 {
		return nil
	}
	return at
}

// walk goes along a path as far as there are values, and returns the last with
// the steps that are left.
func (t *Text) walk(steps []step) (*part, []step) {
	at := t.root
	for i, s := range steps {
		if at == nil {
			return nil, steps[i:]
		}
		j := at.lookUp(s)
		if j < 0 {
			return at, steps[i:]
		}
		at = at.entries[j].value
	}
	return at, nil
}

// Value returns what stands at a path, as the reader reads it: without quotes,
// and with the lines of a folded paragraph joined; a paragraph is without the
// empty lines at its end. It is "" for what is no single value or is not there.
func (t *Text) Value(path string) string {
	if p := t.find(path); p != nil && p.isScalar() {
		return p.text
	}
	return ""
}

// Has reports whether a key or an item is written, with or without a value.
func (t *Text) Has(path string) bool { return t.find(path) != nil }

// List returns the values of a list; an item that is no single value gives "".
func (t *Text) List(path string) []string {
	p := t.find(path)
	if p == nil || p.kind != listPart {
		return nil
	}
	return p.texts()
}

func (p *part) texts() []string {
	list := make([]string, len(p.entries))
	for i, e := range p.entries {
		if e.value.isScalar() {
			list[i] = e.value.text
		}
	}
	return list
}

// Len returns the number of items of a list.
func (t *Text) Len(path string) int {
	if p := t.find(path); p != nil && p.kind == listPart {
		return len(p.entries)
	}
	return 0
}

// Keys returns the keys of a block in the order of the file; path "" is the
// file itself.
func (t *Text) Keys(path string) []string {
	p := t.root
	if path != "" {
		p = t.find(path)
	}
	if p == nil || p.kind != mapPart {
		return nil
	}
	var keys []string
	for _, e := range p.entries {
		keys = append(keys, e.name)
	}
	return keys
}

// splice puts text in the place of the bytes from … to.
type splice struct {
	from, to int
	text     string
	moved    bool // text of the file, which has its line ends already
}

func insert(at int, text string) splice { return overwrite(at, at, text) }

func overwrite(from, to int, text string) splice { return splice{from: from, to: to, text: text} }

func erase(from, to int) splice { return splice{from: from, to: to} }

// change makes splices, which do not overlap, if the text then reads as it
// should. It reports whether it did.
func (t *Text) change(want *part, splices ...splice) bool {
	slices.SortStableFunc(splices, func(a, b splice) int { return a.from - b.from })
	var src []byte
	at := 0
	for _, s := range splices {
		if s.from < at || s.to < s.from {
			return false
		}
		src = append(src, t.src[at:s.from]...)
		if !s.moved {
			s.text = strings.ReplaceAll(s.text, "\n", t.lineBreak())
		}
		src = append(src, s.text...)
		at = s.to
	}
	src = append(src, t.src[at:]...)
	next, _ := OpenText(t.file, src)
	if next == nil || !same(next.root, want) {
		return false
	}
	*t = *next
	return true
}

// lineBreak is how the file ends its lines.
func (t *Text) lineBreak() string {
	i := lineEnd(t.src, 0)
	if i == len(t.src) {
		return "\n"
	}
	return string(t.src[i:nextLine(t.src, i)])
}
