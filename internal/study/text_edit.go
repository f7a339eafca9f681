package study

import (
	"fmt"
	"strconv"

	"github.com/goccy/go-yaml/ast"
)

// Set puts a value at a path. A value that stands there already changes nothing.
// The value "" removes a key, and empties an item of a list, which keeps its
// place; where there is no single value, "" changes nothing.
//
// What is missing on the way is made, each key in the order in which [Format]
// writes them, and an item behind the last of its list. A scale that is a word
// gives way to one with keys.
func (t *Text) Set(path, value string) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	value = soundText(value)
	at, rest := t.walk(steps)
	switch {
	case len(rest) == 0 && (!at.isScalar() && value == "" || at.isScalar() && at.text == value):
		return nil
	case len(rest) > 0 && value == "":
		return nil
	case value == "" && steps[len(steps)-1].isKey():
		return t.Remove(path)
	}
	return t.putText(steps, value)
}

// putText writes a text, which may be empty.
func (t *Text) putText(steps []step, value string) error {
	return t.put(steps, leaf{textPart(steps, value), func(flow bool, old *part, column int) []written {
		return t.scalars(steps, value, flow, old, column)
	}})
}

// leaf is a value to be written, and the ways to write it, the best first.
type leaf struct {
	part *part
	ways func(flow bool, old *part, column int) []written
}

// textPart is how a value at a path should read: as text, unless the format has
// a number there, or true or false.
func textPart(steps []step, value string) *part {
	p := &part{kind: scalarPart, text: value, typed: ast.StringType}
	if among(numberAt, steps) || among(flagAt, steps) {
		p.typed = anyType
	}
	return p
}

func listOf(values []string) *part {
	l := &part{kind: listPart}
	for _, v := range values {
		l.entries = append(l.entries, entry{value: &part{kind: scalarPart, text: v, typed: ast.StringType}})
	}
	return l
}

// put writes a value at a path, with what is missing on the way. When that
// fails, the text is as it was.
func (t *Text) put(steps []step, v leaf) error {
	if t.odd {
		return uneditable(steps)
	}
	before := *t
	if t.root == nil && steps[0].key != "cloche" {
		key, version := []step{{"cloche", -1}}, strconv.Itoa(FormatVersion)
		if !t.change((*part)(nil).with(key, textPart(key, version)), t.atEnd("cloche: "+version)) {
			return uneditable(steps)
		}
	}
	at, rest := t.walk(steps)
	err := t.mayHold(at, steps, rest)
	if err == nil {
		err = t.tryPut(at, steps, rest, v)
	}
	if err != nil {
		*t = before
	}
	return err
}

// mayHold checks that the steps that are left can be made.
func (t *Text) mayHold(at *part, steps, rest []step) error {
	done := steps[:len(steps)-len(rest)]
	if len(rest) > 0 && at != nil && !at.canHold(rest[0], done) {
		return noWay(at, done, steps)
	}
	for i, s := range rest {
		n := 0
		if i == 0 && at != nil {
			n = len(at.entries)
		}
		if !s.isKey() && s.index != n {
			return fmt.Errorf("study: %s is out of range: the list has %s", writePath(steps), count(n, "item"))
		}
	}
	return nil
}

// canHold reports whether a key or an item can come into a value: an empty
// block may turn into a list, and a scale that is a word into one with keys.
func (p *part) canHold(s step, at []step) bool {
	switch p.kind {
	case scalarPart:
		return s.isKey() && among(scalarOrBlock, at)
	case mapPart:
		return s.isKey() || len(p.entries) == 0
	case listPart:
		return !s.isKey() || len(p.entries) == 0
	}
	return true
}

// noWay is the mistake of a path that goes through a value of another kind.
func noWay(at *part, done, steps []step) error {
	return fmt.Errorf("study: there is no %s: %s is %s", writePath(steps), orFile(done), at.called())
}

func orFile(steps []step) string {
	if len(steps) == 0 {
		return "the file"
	}
	return writePath(steps)
}

// called says in plain words what a value is.
func (p *part) called() string {
	return map[partKind]string{nothing: "nothing", scalarPart: "a single value", mapPart: "a block of keys", listPart: "a list"}[p.kind]
}

func uneditable(steps []step) error {
	return fmt.Errorf("study: %s stands in the file in a way that cannot be edited here; edit the text of the file", writePath(steps))
}

// tryPut writes the value in each way until the text reads as it should.
func (t *Text) tryPut(at *part, steps, rest []step, v leaf) error {
	want := t.root.clone().with(steps, v.part)
	done := steps[:len(steps)-len(rest)]
	flow := at != nil && at.flow && len(at.entries) > 0 || t.inBrackets(done) || bracketed(steps, rest)
	var old *part
	column := t.columnOf(done) + 2*max(0, len(rest)-1)
	if len(rest) == 0 {
		old = at
	} else if at != nil && len(at.entries) > 0 {
		column = t.column(at.entries[0].from) + 2*(len(rest)-1)
	}
	for _, way := range v.ways(flow, old, column) {
		if t.change(want, t.putting(at, steps, rest, way)...) {
			return nil
		}
	}
	return uneditable(steps)
}

// inBrackets reports whether the value at a path stands inside brackets.
func (t *Text) inBrackets(steps []step) bool {
	for i := range steps {
		if p, rest := t.walk(steps[:i]); len(rest) == 0 && p.flow {
			return true
		}
	}
	return false
}

// bracketed reports whether what is made on the way to a value has brackets.
func bracketed(steps, rest []step) bool {
	for i := len(steps) - len(rest); i < len(steps); i++ {
		if among(bracketsAt, steps[:i]) {
			return true
		}
	}
	return len(rest) > 0 && !steps[len(steps)-1].isKey()
}
