package study

import (
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// node is a value of a file: what it says, and the lines that say so.
type node struct {
	kind     nodeKind
	text     string // of a single value, as the reader reads it
	isText   bool   // a single value that is text rather than a number, true or false
	plain    bool   // a single value without quotes, on one line
	folds    bool   // a single value that may stand in several lines
	quoted   string // a single value in quotes on one line, as the file has it; "" otherwise
	brackets bool   // a block or a list written in brackets
	entries  []entry
	lead     []string // of a block or list not in brackets: the lines before its first entry
}

type nodeKind int

const (
	nothing nodeKind = iota // null, or no value at all
	single
	block // of keys
	list
)

// entry is a key with its value, or an item of a list. Its lines stand behind
// each other: above, head, those of its value, below.
type entry struct {
	name   string // "" for an item
	value  *node
	line   int      // of its key or dash, from 0
	column int      // of its key or dash, from 0
	above  []string // the comments that belong to it
	// the line of its key, with all lines of a value that is no block; none for an item that begins beside its dash
	head     []string
	comments []string // those in its head and in its value
	below    []string // what is between it and the next: empty lines, and comments that belong to neither
	changed  bool     // its head and value are to be written anew
}

func (v *node) isSingle() bool { return v.kind == single || v.kind == nothing }

// isLines reports whether each entry has lines of its own.
func (v *node) isLines() bool { return len(v.entries) > 0 && !v.brackets }

// find is the place of a step among the entries, or -1.
func (v *node) find(s step) int {
	switch {
	case v.kind == block && s.isKey():
		return slices.IndexFunc(v.entries, func(e entry) bool { return e.name == s.key })
	case v.kind == list && !s.isKey() && s.index < len(v.entries):
		return s.index
	}
	return -1
}

// walk goes along a path as far as there are values. It returns the last, the
// entry that holds its lines (nil: the file itself does), and the steps left.
func (v *node) walk(steps []step) (at *node, holder *entry, rest []step) {
	at = v
	for i, s := range steps {
		j := at.find(s)
		if j < 0 {
			return at, holder, steps[i:]
		}
		if !at.brackets {
			holder = &at.entries[j]
		}
		at = at.entries[j].value
	}
	return at, holder, nil
}

func (v *node) texts() []string {
	all := make([]string, len(v.entries))
	for i, e := range v.entries {
		all[i] = e.value.text
	}
	return all
}

// clone copies a value, so that the copy can say how the file should read.
func (v *node) clone() *node {
	c := *v
	c.entries = slices.Clone(v.entries)
	for i := range c.entries {
		c.entries[i].value = c.entries[i].value.clone()
	}
	return &c
}

// same reports whether two values read alike. The order of keys means nothing.
func same(a, b *node) bool {
	if a.kind != b.kind || len(a.entries) != len(b.entries) || a.text != b.text {
		return false
	}
	if a.isText != b.isText && !(a.plain && b.plain) {
		return false
	}
	of, with := a.entries, b.entries
	if a.kind == block {
		of, with = byName(of), byName(with)
	}
	for i := range of {
		if of[i].name != with[i].name || !same(of[i].value, with[i].value) {
			return false
		}
	}
	return true
}

func byName(entries []entry) []entry {
	return slices.SortedStableFunc(slices.Values(entries),
		func(a, b entry) int { return strings.Compare(a.name, b.name) })
}

// quotedIn is a value in quotes on one line with its quotes, or "".
func quotedIn(n ast.Node) string {
	s, ok := n.(*ast.StringNode)
	if !ok || s.Token.Type != token.DoubleQuoteType && s.Token.Type != token.SingleQuoteType {
		return ""
	}
	typed := strings.TrimSpace(s.Token.Origin)
	if len(typed) < 2 || strings.ContainsAny(typed, "\r\n") || typed[0] != typed[len(typed)-1] ||
		!strings.ContainsRune("'\"", rune(typed[0])) {
		return ""
	}
	return typed
}

// nodeOf reads a value of the tree. What is inside brackets is in brackets.
func nodeOf(n ast.Node, brackets bool) *node {
	v := &node{}
	switch n := n.(type) {
	case *ast.MappingNode:
		v.kind, v.brackets = block, brackets || n.IsFlowStyle
		for _, x := range n.Values {
			at := placeOf(x.Key.GetToken())
			v.entries = append(v.entries, entry{name: keyOf(x.Key), value: nodeOf(x.Value, v.brackets),
				line: at.line - 1, column: at.column - 1})
		}
	case *ast.SequenceNode:
		v.kind, v.brackets = list, brackets || n.IsFlowStyle
		for i, x := range n.Values {
			at := start
			if i < len(n.Entries) && n.Entries[i] != nil {
				at = placeOf(n.Entries[i].Start)
			}
			v.entries = append(v.entries, entry{value: nodeOf(x, v.brackets), line: at.line - 1, column: at.column - 1})
		}
	case nil:
	default:
		if text, ok := scalarOf(n); ok {
			v.kind, v.text, v.isText, v.plain = single, text, textIn(n),
				!textIn(n) || isNumber(n) && !strings.Contains(text, "\n")
		}
		v.quoted = quotedIn(n)
		if n.Type() == ast.LiteralType {
			v.text = strings.TrimRight(v.text, "\n")
		}
	}
	return v
}
