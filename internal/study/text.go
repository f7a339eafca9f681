package study

import (
	"bytes"
	"slices"
	"strings"
)

// Text is the text of a study file, which is edited value by value. Comments and
// the order of keys are kept, and lines that an edit does not change stay byte for
// byte. The file may have mistakes: what stands at a path is text, and [Parse]
// judges it.
//
// A path is what the file has on the way to a value: keys with a dot between
// them, and places in lists from 0, as in dishes[0].serve at. [PathKey] writes
// keys that hold a dot or a bracket. A key that is written twice stands for its
// first place.
//
// After each edit the text is read again, and an edit that did anything but what
// was asked is not made.
type Text struct {
	file    string
	src     []byte
	root    *node
	mark    string // the byte-order mark that it begins with, if it does
	newline string // how its lines end
	uneven  bool   // an edit has to write more lines anew than it changes
	crowded bool   // values share lines, or stand where lines do not tell them apart
	rewrote bool   // see Rewritten
}

// OpenText reads the text of a study file. A file that is no YAML, or holds what
// study files do without, gives these problems and no text. An empty file, or
// one with comments alone, opens.
//
// File is only a name for the messages.
func OpenText(file string, src []byte) (*Text, []Problem) {
	r := &reader{file: file}
	text, ok := r.clean(src)
	if !ok {
		return nil, r.sorted()
	}
	t := &Text{file: file, src: slices.Clone(src), newline: "\n"}
	if bytes.Contains(src, []byte("\r\n")) {
		t.newline = "\r\n"
	}
	if bytes.HasPrefix(src, []byte(byteOrderMark)) {
		t.mark = byteOrderMark
	}
	t.uneven = t.mark+strings.ReplaceAll(text, "\n", t.newline) != string(src)
	if !t.read(r, text) {
		return nil, r.sorted()
	}
	return t, nil
}

// Bytes returns the text as it stands.
func (t *Text) Bytes() []byte { return slices.Clone(t.src) }

// Rewritten reports whether an edit had to write lines anew beside those that it
// changes: all of a file that ends its lines in two ways or stands in brackets, or
// the lines of a value in brackets that had several. They say the same then.
func (t *Text) Rewritten() bool { return t.rewrote }

// edit makes a change to the values of the file and writes the lines that change.
// When the file would not read as it should then, it tries again with the new
// value in quotes.
func (t *Text) edit(steps []step, change func(root *node)) error {
	for _, quotes := range []bool{false, true} {
		want := t.root.clone()
		change(want)
		next, _ := OpenText(t.file, t.join(want.write(quotes)))
		if next != nil && !t.crowded && same(next.root, want) {
			next.rewrote = t.rewrote || t.uneven || want.joinsLines()
			*t = *next
			return nil
		}
	}
	return uneditable(steps)
}

const byteOrderMark = "\ufeff"

// join makes a text of lines.
func (t *Text) join(lines []string) []byte {
	text := t.mark + strings.Join(lines, t.newline)
	n := len(t.src)
	ended := n > 0 && (t.src[n-1] == '\n' || t.src[n-1] == '\r')
	if len(lines) > 0 && (ended || t.root.kind == nothing) {
		text += t.newline
	}
	return []byte(text)
}

// at returns the value at a path, or nil.
func (t *Text) at(path string) *node {
	steps, err := parsePath(path)
	if err != nil {
		return nil
	}
	if v, _, rest := t.root.walk(steps); len(rest) == 0 {
		return v
	}
	return nil
}

// Value returns what stands at a path, as the reader reads it: without quotes,
// and with the lines of a folded paragraph joined; a paragraph is without the
// empty lines at its end. It is "" for what is no single value or is not there.
func (t *Text) Value(path string) string {
	if v := t.at(path); v != nil {
		return v.text
	}
	return ""
}

// Has reports whether a key or an item is written, with or without a value.
func (t *Text) Has(path string) bool { return t.at(path) != nil }

// List returns the values of a list; an item that is no single value gives "".
func (t *Text) List(path string) []string {
	v := t.at(path)
	if v == nil || v.kind != list {
		return nil
	}
	return v.texts()
}

// Len returns the number of items of a list.
func (t *Text) Len(path string) int { return len(t.List(path)) }

// Keys returns the keys of a block in the order of the file; path "" is the
// file itself.
func (t *Text) Keys(path string) []string {
	v := t.root
	if path != "" {
		v = t.at(path)
	}
	if v == nil || v.kind != block {
		return nil
	}
	var keys []string
	for _, e := range v.entries {
		keys = append(keys, e.name)
	}
	return keys
}
