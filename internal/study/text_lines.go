package study

import (
	"slices"
	"strings"
)

// layout gives every entry of a file its lines. It goes by the lines of keys and
// dashes that the parser tells; where values end, it need not know.
type layout struct {
	lines    []string
	comments map[int]string // by line, from 0
}

// read parses a text, all lines of which end with a line feed, and lays out its
// lines. A panic on an odd tree is, like one of the parser, this file's mistake.
func (t *Text) read(r *reader, text string) (ok bool) {
	defer func() {
		if recover() != nil {
			r.problem("", start, Say("this is not YAML that can be read"),
				Say("write \"key: value\" lines, indented by spaces"))
			ok = false
		}
	}()
	tree, ok := r.parse(text)
	if ok && !strings.HasSuffix(text, "\n") { // the parser is blind to a comment that no line feed ends
		tree, ok = r.parse(text + "\n")
	}
	if !ok {
		return false
	}
	l := layout{comments: r.comments}
	if text != "" {
		l.lines = strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	}
	body := bodyOf(tree)
	if body == nil {
		t.root = &node{lead: l.lines}
		return true
	}
	t.root = nodeOf(body, false)
	t.crowded = slices.Contains(l.lines, "...") // the parser reads on there, and takes comments for nothing
	switch {
	case t.root.kind != block:
		t.crowded = true
	case t.root.isLines():
		t.crowded = !l.lay(t.root, 0, len(l.lines)) || t.crowded
	default: // in brackets: an edit writes a key a line
		t.root.lead, t.root.brackets, t.uneven = l.commentsIn(0, len(l.lines)), false, true
		for i := range t.root.entries {
			t.root.entries[i].column, t.root.entries[i].changed = 0, true
		}
	}
	return true
}

// lay gives the entries of a value the lines from … to. It reports false where
// lines do not tell them apart.
func (l layout) lay(v *node, from, to int) bool {
	begins := make([]int, len(v.entries)+1) // with the comments above
	begins[len(v.entries)] = to
	after := from
	for i, e := range v.entries {
		if e.line < after || e.line >= to || e.column != indent(l.lines[e.line]) {
			return false
		}
		begins[i] = l.above(e.line, after, e.column)
		after = e.line + 1
	}
	v.lead = l.lines[from:begins[0]]
	for i := range v.entries {
		e := &v.entries[i]
		e.above = l.lines[begins[i]:e.line]
		end := l.end(e, begins[i+1])
		e.below = l.lines[end:begins[i+1]]
		if !l.layEntry(e, end) {
			return false
		}
	}
	first := &v.entries[0]
	if len(v.entries) > 1 && len(v.entries[1].above) == 0 { // it may speak of them all
		v.lead, first.above = slices.Concat(v.lead, first.above), nil
	}
	return true
}

// layEntry gives an entry and what is in it the lines from its own to end.
func (l layout) layEntry(e *entry, end int) bool {
	e.comments = l.commentsIn(e.line, end)
	if !e.value.isLines() {
		e.head = l.lines[e.line:end]
		return true
	}
	inside := e.line + 1
	if line := l.lines[e.line]; e.name == "" && e.value.entries[0].line == e.line && line[e.column] == '-' {
		l.lines[e.line] = line[:e.column] + " " + line[e.column+1:]
		inside = e.line
	} else {
		e.head = l.lines[e.line:inside]
	}
	return l.lay(e.value, inside, end)
}

// above is where the comments begin that stand right above a line and as far to
// the right.
func (l layout) above(line, from, column int) int {
	for line > from && l.isComment(line-1) && indent(l.lines[line-1]) == column {
		line--
	}
	return line
}

// end is where the lines of an entry end: behind its value, and behind the
// comments right below that are indented as what is inside it.
func (l layout) end(e *entry, limit int) int {
	end := limit
	for end > e.line+1 && (strings.TrimSpace(l.lines[end-1]) == "" || l.isComment(end-1)) {
		end--
	}
	for end < limit && l.isComment(end) && indent(l.lines[end]) > e.column {
		end++
	}
	return end
}

// isComment reports whether a line holds a comment and nothing else.
func (l layout) isComment(i int) bool {
	return l.comments[i] != "" && strings.HasPrefix(strings.TrimLeft(l.lines[i], " "), "#")
}

func (l layout) commentsIn(from, to int) []string {
	var all []string
	for i := from; i < to; i++ {
		if c := l.comments[i]; c != "" {
			all = append(all, c)
		}
	}
	return all
}

func indent(line string) int { return len(line) - len(strings.TrimLeft(line, " ")) }
