package study

import (
	"bytes"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// part is a value of a file with the bytes where it stands.
type part struct {
	kind     partKind
	flow     bool         // in brackets, or within them
	from, to int          // its bytes, without space and comment around it; a value left out has none
	text     string       // of a scalar, as the reader reads it
	typed    ast.NodeType // of a scalar: text, a number, true or false
	block    bool         // a scalar that is a paragraph (| or >)
	entries  []entry
}

type partKind int

const (
	nothing partKind = iota // null, or no value at all
	scalarPart
	mapPart
	listPart
)

// entry is a key with its value, or an item of a list.
type entry struct {
	name  string
	from  int // where its key begins, or its dash, or (in brackets) its value
	mark  int // the end of its colon or dash; where a value that was left out would be missing
	value *part
}

func (p *part) isScalar() bool { return p.kind == scalarPart || p.kind == nothing }

// lookUp is the place of a step among the entries, or -1.
func (p *part) lookUp(s step) int {
	switch {
	case p.kind == mapPart && s.isKey():
		return slices.IndexFunc(p.entries, func(e entry) bool { return e.name == s.key })
	case p.kind == listPart && !s.isKey() && s.index < len(p.entries):
		return s.index
	}
	return -1
}

// placer finds the bytes of what the parser found. The parser counts lines and
// characters, and loses count of a tab in plain text.
type placer struct {
	src    []byte
	lines  []int          // where each begins
	starts []int          // of every token but the text of paragraphs, ascending
	where  map[place]int  // the byte of each token
	nulls  map[place]bool // tokens that say null
	behind int            // no token not seen yet begins before it
}

func newPlacer(src []byte, first *token.Token) *placer {
	p := &placer{src: src, lines: []int{0}, where: map[place]int{}, nulls: map[place]bool{}}
	if bytes.HasPrefix(src, []byte("\ufeff")) {
		p.lines[0] = len("\ufeff")
	}
	for i, c := range src {
		if c == '\n' || c == '\r' && (i+1 == len(src) || src[i+1] != '\n') {
			p.lines = append(p.lines, i+1)
		}
	}
	paragraph := false
	for t := first; t != nil; t = t.Next {
		if paragraph && t.Type == token.StringType {
			paragraph = false
			continue
		}
		if t.Type == token.LiteralType || t.Type == token.FoldedType {
			paragraph = true
		} else if t.Type != token.CommentType {
			paragraph = false
		}
		at := placeOf(t)
		p.where[at] = p.find(t)
		p.nulls[at] = t.Type == token.NullType
		p.starts = append(p.starts, p.where[at])
		p.behind = quotedEnd(src, p.where[at])
	}
	sort.Ints(p.starts)
	return p
}

// offset is where a token of the tree begins.
func (p *placer) offset(t *token.Token) int {
	if i, ok := p.where[placeOf(t)]; ok {
		return i
	}
	return p.find(t)
}

// find looks for a token where the parser saw it, or else nearby in the line, but
// behind the token before it.
func (p *placer) find(t *token.Token) int {
	at := placeOf(t)
	line := p.lines[max(0, min(at.line, len(p.lines))-1)]
	i := line
	for range at.column - 1 {
		_, size := utf8.DecodeRune(p.src[i:])
		i += size
	}
	line = max(line, p.behind)
	i = min(max(i, line), len(p.src))
	end := p.lineEnd(i)
	line = min(line, end)
	sign := []byte(firstSign(t))
	if t.Prev != nil && isSign[t.Prev.Type] { // right behind it, whatever the parser counted
		rest := bytes.TrimLeft(p.src[line:end], " \t")
		if bytes.HasPrefix(rest, sign) {
			return end - len(rest)
		}
	}
	if j := bytes.Index(p.src[i:end], sign); j >= 0 {
		return i + j
	}
	if j := bytes.LastIndex(p.src[line:end], sign); j >= 0 {
		return line + j
	}
	return i
}

// isSign are tokens of one character.
var isSign = map[token.Type]bool{
	token.MappingValueType: true, token.CollectEntryType: true, token.SequenceEntryType: true, token.SequenceStartType: true,
	token.SequenceEndType: true, token.MappingStartType: true, token.MappingEndType: true,
}

// firstSign is how a token begins in the file; a comment is looked for as a
// whole, since there may be other # in it.
func firstSign(t *token.Token) string {
	switch t.Type {
	case token.CommentType:
		return "#" + t.Value
	case token.DoubleQuoteType:
		return `"`
	case token.SingleQuoteType:
		return "'"
	}
	_, size := utf8.DecodeRuneInString(t.Value)
	return t.Value[:size]
}

// end is where the value ends that begins at a byte: before the next token and
// the space in front of it.
func (p *placer) end(from int, paragraph bool) int {
	i := sort.SearchInts(p.starts, from+1)
	if paragraph && i < len(p.starts) && p.lineEnd(from) > p.starts[i] && p.src[p.starts[i]] == '#' {
		i++ // a comment beside the sign of the paragraph
	}
	to := len(p.src)
	if i < len(p.starts) {
		to = p.starts[i]
	}
	for to > from && strings.IndexByte(" \t\r\n", p.src[to-1]) >= 0 {
		to--
	}
	return to
}

func (p *placer) lineEnd(i int) int { return lineEnd(p.src, i) }

// part places a node; mark is the end of the sign before it.
func (p *placer) part(n ast.Node, mark int, flow bool) *part {
	switch n := n.(type) {
	case *ast.MappingNode:
		return p.mapping(n, flow)
	case *ast.SequenceNode:
		return p.sequence(n, flow)
	case *ast.LiteralNode:
		from := p.offset(n.Start)
		return &part{kind: scalarPart, flow: flow, from: from, to: p.end(from, true), text: strings.TrimRight(n.Value.Value, "\n"), typed: ast.StringType, block: true}
	}
	text, ok := "", false
	if n != nil {
		text, ok = scalarOf(n)
	}
	if ok {
		from := p.offset(n.GetToken())
		typed := n.Type()
		return &part{kind: scalarPart, flow: flow, from: from, to: p.end(from, false), text: text, typed: typed}
	}
	if n != nil {
		if at := placeOf(n.GetToken()); p.nulls[at] {
			from := p.where[at]
			return &part{flow: flow, from: from, to: p.end(from, false)}
		}
	}
	return &part{flow: flow, from: mark, to: mark}
}

func (p *placer) mapping(n *ast.MappingNode, flow bool) *part {
	m := &part{kind: mapPart, flow: flow || n.IsFlowStyle}
	for _, v := range n.Values {
		e := entry{name: keyOf(v.Key), from: p.offset(v.Key.GetToken())}
		e.mark = p.end(e.from, false)
		if v.Start != nil && v.Start.Type == token.MappingValueType {
			e.mark = p.offset(v.Start) + 1
		}
		e.value = p.part(v.Value, e.mark, m.flow)
		m.entries = append(m.entries, e)
	}
	p.close(m, n.IsFlowStyle, n.Start, n.End)
	return m
}

func (p *placer) sequence(n *ast.SequenceNode, flow bool) *part {
	l := &part{kind: listPart, flow: flow || n.IsFlowStyle}
	for i, v := range n.Values {
		e := entry{}
		switch {
		case !l.flow && i < len(n.Entries):
			e.from = p.offset(n.Entries[i].Start)
			e.mark = e.from + 1
			e.value = p.part(v, e.mark, false)
		default:
			e.value = p.part(v, 0, true)
			e.from, e.mark = e.value.from, e.value.from
		}
		l.entries = append(l.entries, e)
	}
	p.close(l, n.IsFlowStyle, n.Start, n.End)
	return l
}

// close sets where a block or a list begins and ends.
func (p *placer) close(c *part, brackets bool, first, last *token.Token) {
	if brackets {
		c.from, c.to = p.offset(first), p.offset(last)+1
		return
	}
	if n := len(c.entries); n > 0 {
		c.from, c.to = c.entries[0].from, c.entries[n-1].value.to
	}
}

// quotedEnd is the end of the quoted text that begins at a byte, or the byte
// after it if there is none.
func quotedEnd(src []byte, from int) int {
	if from >= len(src) || src[from] != '"' && src[from] != '\'' {
		return min(len(src), from+1)
	}
	quote := src[from]
	for i := from + 1; i < len(src); i++ {
		switch {
		case src[i] == '\\' && quote == '"':
			i++
		case src[i] == quote && quote == '\'' && i+1 < len(src) && src[i+1] == quote:
			i++
		case src[i] == quote:
			return i + 1
		}
	}
	return min(len(src), from+1)
}

// inOrder reports whether a value and what is in it stand behind each other from
// one byte to another, each behind its sign. It is not so where the parser is
// lost in an odd text.
func (p *placer) inOrder(v *part, from, to int) bool {
	if v.from < from || v.to < v.from || v.to > to {
		return false
	}
	at := v.from
	for i, e := range v.entries {
		if !v.flow && i > 0 && e.from <= p.lineEnd(at) {
			return false // blocks have a line for each
		}
		if e.from < at || e.mark < e.from || e.value.from < e.mark || !v.flow && (e.mark == e.from || strings.IndexByte(":-", p.src[e.mark-1]) < 0) {
			return false
		}
		if !p.inOrder(e.value, e.mark, v.to) {
			return false
		}
		at = e.value.to
	}
	return true
}

// lineStart and lineEnd are the ends of the line that holds a byte, without its
// line break.
func lineStart(src []byte, i int) int {
	for i > 0 && src[i-1] != '\n' && src[i-1] != '\r' {
		i--
	}
	if i == 0 && bytes.HasPrefix(src, []byte("\ufeff")) {
		return len("\ufeff")
	}
	return i
}

func lineEnd(src []byte, i int) int {
	for i < len(src) && src[i] != '\n' && src[i] != '\r' {
		i++
	}
	return i
}

// nextLine is where the line after the one that ends at a byte begins.
func nextLine(src []byte, end int) int {
	switch {
	case end >= len(src):
		return len(src)
	case src[end] == '\r' && end+1 < len(src) && src[end+1] == '\n':
		return end + 2
	}
	return end + 1
}
