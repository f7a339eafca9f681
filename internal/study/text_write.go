package study

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// lineWidth is where lines of paragraphs break.
const lineWidth = 80

// longText is how many characters of a text that may hold paragraphs stand on
// the line of its key.
const longText = 100

// soundText gives a value the line ends and the encoding of a file.
func soundText(s string) string {
	return strings.ToValidUTF8(oneLineEnd.Replace(s), string(utf8.RuneError))
}

// singleAt is a value at a path: text, unless the format has a number there, or
// true or false.
func singleAt(steps []step, value string) *node {
	plain := among(numberAt, steps) && decimal.MatchString(value) || among(flagAt, steps) &&
		(value == "true" || value == "false")
	return &node{kind: single, text: value, isText: !plain, plain: plain,
		folds: isParagraph(steps) || strings.Contains(value, "\n")}
}

func listOf(values []string) *node {
	l := &node{kind: list, brackets: true}
	for _, v := range values {
		l.entries = append(l.entries, entry{value: &node{kind: single, text: v, isText: true}})
	}
	return l
}

// write are the lines of a block or a list. New values are written in quotes where that is
// asked for.
func (v *node) write(quotes bool) []string {
	lines := slices.Clone(v.lead)
	for _, e := range v.entries {
		lines = append(lines, e.above...)
		if e.changed {
			lines = append(lines, e.writeAnew(v.kind, quotes)...)
		} else {
			lines = append(lines, e.write(quotes)...)
		}
		lines = append(lines, e.below...)
	}
	return lines
}

// write are the lines of an entry whose own line stays.
func (e entry) write(quotes bool) []string {
	switch {
	case !e.value.isLines():
		return e.head
	case len(e.head) == 0:
		return e.withDash(e.value.write(quotes))
	}
	return slices.Concat(e.head, e.value.write(quotes))
}

// withDash puts the dash of an item before the first of its lines.
func (e entry) withDash(lines []string) []string {
	if indent(lines[0]) > e.column {
		lines[0] = spaces(e.column) + "-" + lines[0][e.column+1:]
		return lines
	}
	return append([]string{spaces(e.column) + "-"}, lines...)
}

// writeAnew are new lines for an entry. Its first comment stands beside it, more
// above, and so do all of an item that begins beside its dash.
func (e entry) writeAnew(in nodeKind, quotes bool) []string {
	sign := "-"
	if in == block {
		sign = inList(e.name) + ":"
	}
	var beside string
	comments := e.comments
	besideDash := in == list && e.value.isLines()
	if len(comments) > 0 && !besideDash {
		beside, comments = " "+comments[0], comments[1:]
	}
	var lines []string
	for _, c := range comments {
		lines = append(lines, spaces(e.column)+c)
	}
	if !e.value.isLines() {
		value, below := e.value.inEntry(quotes, e.column)
		return slices.Concat(lines, []string{spaces(e.column) + sign + " " + value + beside}, below)
	}
	if besideDash {
		return append(lines, e.withDash(e.value.write(quotes))...)
	}
	return slices.Concat(lines, []string{spaces(e.column) + sign + beside}, e.value.write(quotes))
}

// joinsLines reports whether a value in brackets that had several lines gets one.
func (v *node) joinsLines() bool {
	return slices.ContainsFunc(v.entries, func(e entry) bool {
		return e.changed && e.value.brackets && len(e.head) > 1 || e.value.joinsLines()
	})
}

func spaces(n int) string { return strings.Repeat(" ", n) }

// inEntry is a value beside its key, and the lines below.
func (v *node) inEntry(quotes bool, column int) (string, []string) {
	long := utf8.RuneCountInString(v.text) > longText
	if quotes || !v.folds || !long && !strings.Contains(v.text, "\n") || strings.TrimSpace(v.text) != v.text {
		return v.inline(quotes), nil
	}
	sign, fold := "|-", func(line string) []string { return []string{line} }
	paragraphs := strings.Split(v.text, "\n")
	if slices.ContainsFunc(paragraphs, isLong) && !slices.ContainsFunc(paragraphs, hasWideSpace) {
		sign, fold = ">", func(line string) []string { return foldLine(line, lineWidth-column-2) }
	}
	var lines []string
	for i, p := range paragraphs {
		if sign == ">" && i > 0 {
			lines = append(lines, "")
		}
		for _, line := range fold(p) {
			if line != "" {
				line = spaces(column+2) + line
			}
			if line != "" || sign != ">" {
				lines = append(lines, line)
			}
		}
	}
	return sign, lines
}

func isLong(line string) bool { return utf8.RuneCountInString(line) > longText }

// hasWideSpace reports whether folding a line would change its space.
func hasWideSpace(line string) bool { return strings.Join(strings.Fields(line), " ") != line }

// foldLine breaks a line at spaces.
func foldLine(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimPrefix(line+" "+word, " ")
	}
	return append(lines, line)
}

// inline is a value on one line, as it may stand in brackets too.
func (v *node) inline(quotes bool) string {
	var parts []string
	for _, e := range v.entries {
		part := e.value.inline(quotes)
		if v.kind == block {
			part = inList(e.name) + ": " + part
		}
		parts = append(parts, part)
	}
	switch {
	case v.kind == nothing:
		return "null"
	case v.kind == block:
		return "{" + strings.Join(parts, ", ") + "}"
	case v.kind == list:
		return "[" + strings.Join(parts, ", ") + "]"
	case quotes:
		return inQuotes(v.text)
	case v.plain:
		return v.text
	case v.quoted != "":
		return v.quoted
	}
	return inList(v.text)
}

// inList writes text on one line.
func inList(s string) string {
	if w := scalar(s); w[0] != '"' {
		return w
	}
	return inQuotes(s)
}

// inQuotes writes text in double quotes, and what cannot be seen or has no place
// in a file by its number.
func inQuotes(s string) string {
	var b strings.Builder
	for _, c := range string(appendString(nil, s)) {
		_, hidden := strange(string(c), false)
		if c == utf8.RuneError || !hidden {
			b.WriteRune(c)
		} else {
			fmt.Fprintf(&b, `\u%04X`, c)
		}
	}
	return b.String()
}
