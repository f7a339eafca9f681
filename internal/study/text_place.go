package study

import (
	"bytes"
	"slices"
	"strings"
)

// putting are the splices that write a value at a path.
func (t *Text) putting(at *part, steps, rest []step, way written) []splice {
	done := steps[:len(steps)-len(rest)]
	switch {
	case len(rest) > 0 && at != nil && at.kind == mapPart && len(at.entries) > 0:
		return t.newKey(at, done, rest[0].key, t.around(steps, rest[1:], way, at.flow))
	case len(rest) > 0 && at != nil && at.kind == listPart && len(at.entries) > 0:
		return t.newItem(at, t.around(steps, rest[1:], way, at.flow))
	}
	way = t.around(steps, rest, way, t.inBrackets(done))
	if at == nil {
		return []splice{t.atEnd(dedented(way.lines)...)}
	}
	return t.replace(at, done, way)
}

// around puts blocks and lists around a value, for the steps that are left.
func (t *Text) around(steps, rest []step, w written, flow bool) written {
	if len(rest) == 0 {
		return w
	}
	s, last := rest[0], len(rest) == 1
	flow = flow || among(bracketsAt, steps[:len(steps)-len(rest)]) || !s.isKey() && last
	w = t.around(steps, rest[1:], w, flow)
	switch {
	case flow && s.isKey():
		return written{head: "{" + inList(s.key) + ": " + w.head + "}"}
	case flow:
		return written{head: "[" + w.head + "]"}
	case s.isKey():
		return written{lines: indented(keyed(s.key, w), 2)}
	}
	return written{lines: indented(item(w), 2)}
}

// indented are lines with spaces before those that are not empty.
func indented(lines []string, by int) []string {
	out := make([]string, len(lines))
	for i, line := range lines {
		if line != "" {
			out[i] = strings.Repeat(" ", by) + line
		}
	}
	return out
}

func dedented(lines []string) []string {
	out := make([]string, len(lines))
	for i, line := range lines {
		out[i] = strings.TrimPrefix(line, "  ")
	}
	return out
}

// atEnd appends lines to the file.
func (t *Text) atEnd(lines ...string) splice {
	text := strings.Join(lines, "\n") + "\n"
	if n := len(t.src); n > 0 && lineStart(t.src, n) != n {
		text = "\n" + text
	}
	return insert(len(t.src), text)
}

// column is how far a byte is indented.
func (t *Text) column(i int) int {
	return len([]rune(string(t.src[lineStart(t.src, i):i])))
}

// entryOf is the entry of the value at a path.
func (t *Text) entryOf(steps []step) (entry, bool) {
	if len(steps) == 0 {
		return entry{}, false
	}
	in, rest := t.walk(steps[:len(steps)-1])
	if in == nil || len(rest) > 0 {
		return entry{}, false
	}
	i := in.lookUp(steps[len(steps)-1])
	if i < 0 {
		return entry{}, false
	}
	return in.entries[i], true
}

// columnOf is how far the key or the dash at a path is indented.
func (t *Text) columnOf(steps []step) int {
	e, ok := t.entryOf(steps)
	if !ok {
		return 0
	}
	return t.column(e.from)
}

// replace writes a value in the place of another: its head beside the key or the
// dash, its lines below. A comment beside the old value stays beside the new.
func (t *Text) replace(at *part, steps []step, way written) []splice {
	e, ok := t.entryOf(steps)
	if !ok { // the file itself, in brackets
		lines := append([]string{way.head}, dedented(way.lines)...)
		return []splice{overwrite(at.from, at.to, strings.TrimPrefix(strings.Join(lines, "\n"), "\n"))}
	}
	from, to := at.from, at.to
	below := lineEnd(t.src, to)
	end := below
	switch {
	case at.block: // beside the key stands the sign of the paragraph alone
		below = lineEnd(t.src, from)
		end = max(below, to)
		for to = from; to < below && strings.IndexByte("|>+-0123456789", t.src[to]) >= 0; {
			to++
		}
	case !at.isScalar() && lineStart(t.src, from) > e.mark: // nothing stands beside it
		from, to = e.mark, e.mark
		below = lineEnd(t.src, e.mark)
	}
	head, lines := way.head, indented(way.lines, t.column(e.from))
	if head == "" && t.src[e.from] == '-' && e.mark == e.from+1 { // the first key stands beside the dash
		head, lines = strings.TrimLeft(lines[0], " "), lines[1:]
	}
	switch {
	case head == "":
		from = max(from, e.mark)
		from = e.mark + len(bytes.TrimRight(t.src[e.mark:from], " "))
	case from == e.mark && e.mark > e.from: // right behind the colon or the dash
		head = " " + head
	}
	splices := []splice{overwrite(from, to, head)}
	if len(lines) > 0 {
		return append(splices, overwrite(below, end, "\n"+strings.Join(lines, "\n")))
	}
	return append(splices, erase(below, end))
}

// newKey writes a key into a block that has some, behind the nearest of the keys
// that come before it in the order of the format.
func (t *Text) newKey(in *part, steps []step, key string, value written) []splice {
	after := t.before(in, steps, key)
	if in.flow {
		pair := inList(key) + ": " + value.head
		if after < 0 {
			return []splice{insert(in.entries[0].from, pair+", ")}
		}
		return []splice{insert(in.entries[after].value.to, ", "+pair)}
	}
	lines := keyed(key, value)
	column := t.column(in.entries[0].from)
	section := len(steps) == 0 && value.head == ""
	if after < 0 {
		return []splice{t.above(in.entries[0], column, lines, section)}
	}
	return []splice{t.below(in.entries[after], indented(lines, column), section)}
}

// before is the place of the entry behind which a new key belongs, or -1.
func (t *Text) before(in *part, steps []step, key string) int {
	order := t.order(steps)
	i := slices.Index(order, key)
	if i < 0 {
		return len(in.entries) - 1
	}
	for i--; i >= 0; i-- {
		if j := in.lookUp(step{order[i], -1}); j >= 0 {
			return j
		}
	}
	if slices.ContainsFunc(in.entries, func(e entry) bool { return slices.Contains(order, e.name) }) {
		return -1
	}
	return len(in.entries) - 1
}

// above writes lines over the first entry of a block and the comment on it.
func (t *Text) above(e entry, column int, lines []string, section bool) splice {
	if section {
		lines = append(lines, "")
	}
	from := lineStart(t.src, e.from)
	if strings.TrimSpace(string(t.src[from:e.from])) != "" { // beside a dash
		text := indented(lines, column)
		return insert(e.from, strings.TrimLeft(strings.Join(text, "\n"), " ")+"\n"+strings.Repeat(" ", column))
	}
	return insert(t.commentsAbove(e.from), strings.Join(indented(lines, column), "\n")+"\n")
}

// below writes lines under an entry. A section has an empty line on either side.
func (t *Text) below(e entry, lines []string, apart bool) splice {
	at := t.last(e)
	text := "\n" + strings.Join(lines, "\n")
	if apart {
		text = "\n" + text
		next := nextLine(t.src, at)
		if next < len(t.src) && lineEnd(t.src, next) > next {
			text += "\n"
		}
	}
	return insert(at, text)
}

// newItem writes an item behind the last of a list. It stands apart when the
// others do.
func (t *Text) newItem(in *part, value written) []splice {
	n := len(in.entries)
	last := in.entries[n-1]
	if in.flow {
		return []splice{insert(last.value.to, ", "+value.head)}
	}
	s := t.below(last, indented(item(value), t.column(last.from)), false)
	if n > 1 && t.emptyLineIn(in.entries[n-2].value.to, last.from) {
		s.text = "\n" + s.text
	}
	return []splice{s}
}

// item puts a value under a dash.
func item(value written) []string {
	if value.head != "" {
		return append([]string{"- " + value.head}, value.lines...)
	}
	lines := slices.Clone(value.lines)
	lines[0] = "- " + strings.TrimPrefix(lines[0], "  ")
	return lines
}

// emptyLineIn reports whether there is an empty line from one byte to another.
func (t *Text) emptyLineIn(from, to int) bool {
	for i := nextLine(t.src, lineEnd(t.src, from)); i < to; i = nextLine(t.src, lineEnd(t.src, i)) {
		if lineEnd(t.src, i) == i {
			return true
		}
	}
	return false
}

// commentsAbove is where the comments begin that stand right above the line of a
// byte and as far to the right as it does.
func (t *Text) commentsAbove(i int) int {
	column := t.column(i)
	from := lineStart(t.src, i)
	for from > 0 {
		above := lineStart(t.src, lineBefore(t.src, from))
		line := string(t.src[above:lineEnd(t.src, above)])
		if above == from || !strings.HasPrefix(strings.TrimLeft(line, " "), "#") || len(line)-len(strings.TrimLeft(line, " ")) != column {
			break
		}
		from = above
	}
	return from
}

// last is the end of the last line of an entry of a block: of its value, or of
// the comments right below that are indented as what is inside it.
func (t *Text) last(e entry) int {
	column := t.column(e.from)
	end := lineEnd(t.src, e.value.to)
	for {
		next := nextLine(t.src, end)
		line := t.src[next:lineEnd(t.src, next)]
		text := bytes.TrimLeft(line, " ")
		if next == end || !bytes.HasPrefix(text, []byte("#")) || len(line)-len(text) <= column {
			return end
		}
		end = lineEnd(t.src, next)
	}
}

// lineBefore is the end of the line before the one that begins at a byte.
func lineBefore(src []byte, start int) int {
	end := start - 1
	if end > 0 && src[end] == '\n' && src[end-1] == '\r' {
		end--
	}
	return max(0, end)
}
