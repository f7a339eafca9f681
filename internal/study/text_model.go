package study

import (
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// anyType is the type of a value that may read as text or as a number.
const anyType ast.NodeType = -1

// clone copies a value, so that a copy can say how the text should read after
// an edit.
func (p *part) clone() *part {
	if p == nil {
		return nil
	}
	c := *p
	c.entries = slices.Clone(p.entries)
	for i := range c.entries {
		c.entries[i].value = c.entries[i].value.clone()
	}
	return &c
}

// with puts a value at a path of a copy. Steps that are not there are made.
func (p *part) with(steps []step, value *part) *part {
	if len(steps) == 0 {
		return value
	}
	s := steps[0]
	kind := mapPart
	if !s.isKey() {
		kind = listPart
	}
	if p == nil || p.kind != kind {
		p = &part{kind: kind}
	}
	i := p.lookUp(s)
	if i < 0 {
		i = len(p.entries)
		p.entries = append(p.entries, entry{name: s.key})
	}
	p.entries[i].value = p.entries[i].value.with(steps[1:], value)
	return p
}

// same reports whether two values read alike. The order of keys means nothing.
func same(a, b *part) bool {
	if a == nil || b == nil {
		return a == b
	}
	if a.kind != b.kind || len(a.entries) != len(b.entries) {
		return false
	}
	if a.kind == scalarPart {
		return a.text == b.text && (a.typed == b.typed || a.typed == anyType || b.typed == anyType)
	}
	of, with := a.entries, b.entries
	if a.kind == mapPart {
		of, with = sortedEntries(of), sortedEntries(with)
	}
	for i := range of {
		if of[i].name != with[i].name || !same(of[i].value, with[i].value) {
			return false
		}
	}
	return true
}

func sortedEntries(entries []entry) []entry {
	entries = slices.Clone(entries)
	slices.SortStableFunc(entries, func(a, b entry) int { return strings.Compare(a.name, b.name) })
	return entries
}
