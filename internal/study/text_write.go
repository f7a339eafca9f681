package study

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// written is a value as lines of a file: what stands beside its key, and the
// lines below, indented from the key's own column where they are not empty.
type written struct {
	head  string
	lines []string
}

// lineWidth is where lines of paragraphs break.
const lineWidth = 80

// longText is how many characters of a text that may hold paragraphs stand on
// the line of its key.
const longText = 100

// soundText gives a value the line ends and the encoding of a file.
func soundText(s string) string {
	s = oneLineEnd.Replace(s)
	return strings.ToValidUTF8(s, string(utf8.RuneError))
}

// scalars are the ways to write a value at a path, the best first. In brackets
// a value has one line. Old is what stood there.
func (t *Text) scalars(steps []step, value string, flow bool, old *part, column int) []written {
	var ways []written
	if among(numberAt, steps) && decimal.MatchString(value) || among(flagAt, steps) && (value == "true" || value == "false") {
		ways = append(ways, written{head: value})
	}
	if !flow {
		ways = append(ways, t.paragraphs(steps, value, old, column)...)
	}
	if s := scalar(value); s[0] != '"' {
		ways = append(ways, written{head: s})
	}
	return append(ways, written{head: inQuotes(value)})
}

// paragraphs are the ways to write a value below its key, if it is one to be
// written so.
func (t *Text) paragraphs(steps []step, value string, old *part, column int) []written {
	was := ""
	var lines []string
	if old != nil && old.block {
		was, lines = t.paragraphOf(old)
	}
	long := utf8.RuneCountInString(value) > longText && isParagraph(steps)
	if was == "" && !long && !strings.Contains(value, "\n") || strings.TrimSpace(value) != value || value == "" {
		return nil
	}
	literal := written{"|-", literalLines(value)}
	if was != "" && was[0] == '|' {
		literal.head = was
	}
	if was == "" && !isLong(value) || was != "" && was[0] == '|' {
		return []written{literal}
	}
	folded := written{">", foldedLines(value, lines, lineWidth-column)}
	if was != "" {
		folded.head = was
	}
	return []written{folded, literal}
}

func isLong(value string) bool {
	for _, line := range strings.Split(value, "\n") {
		if utf8.RuneCountInString(line) > longText {
			return true
		}
	}
	return false
}

func literalLines(value string) []string {
	lines := strings.Split(value, "\n")
	for i, line := range lines {
		if line != "" {
			lines[i] = "  " + line
		}
	}
	return lines
}

// foldedLines breaks the lines of a value at spaces. An empty line stands for
// each line break of the value. A line that the old paragraph has keeps its
// breaks.
func foldedLines(value string, old []string, width int) []string {
	had := map[string][]string{}
	from := 0
	for i := 0; i <= len(old); i++ {
		if i == len(old) || old[i] == "" {
			had[strings.Join(old[from:i], " ")] = old[from:i]
			from = i + 1
		}
	}
	var lines []string
	for i, paragraph := range strings.Split(value, "\n") {
		if i > 0 {
			lines = append(lines, "")
		}
		if paragraph == "" {
			continue
		}
		broken, ok := had[paragraph]
		if !ok {
			broken = breakLine(paragraph, width-2)
		}
		for _, line := range broken {
			lines = append(lines, "  "+line)
		}
	}
	return lines
}

// breakLine breaks text at single spaces into lines of a width, if it can.
func breakLine(text string, width int) []string {
	var lines []string
	line, glued := "", false
	for i, word := range strings.Split(text, " ") {
		switch {
		case i == 0:
			line = word
		case word == "" || glued || line == "" || utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
		glued = word == ""
	}
	return append(lines, line)
}

// paragraphOf is the sign of a paragraph (without a depth) and its lines,
// without their indentation.
func (t *Text) paragraphOf(p *part) (sign string, lines []string) {
	all := strings.Split(oneLineEnd.Replace(string(t.src[p.from:p.to])), "\n")
	for _, c := range all[0] {
		if !strings.ContainsRune("|>+-", c) {
			break
		}
		sign += string(c)
	}
	depth := -1
	for _, line := range all[1:] {
		text := strings.TrimLeft(line, " ")
		if depth < 0 && text != "" {
			depth = len(line) - len(text)
		}
		lines = append(lines, line[min(len(line), max(0, depth)):])
	}
	return sign, lines
}

// inQuotes writes text in double quotes, and what cannot be seen or has no place
// in a file by its number.
func inQuotes(s string) string {
	var b strings.Builder
	for _, c := range string(appendString(nil, s)) {
		_, hidden := strange(string(c), false)
		switch {
		case c == utf8.RuneError || !hidden:
			b.WriteRune(c)
		default:
			fmt.Fprintf(&b, `\u%04X`, c)
		}
	}
	return b.String()
}

// inFlow writes a list of texts in brackets.
func inFlow(list []string) string {
	words := make([]string, len(list))
	for i, s := range list {
		words[i] = inList(s)
	}
	return "[" + strings.Join(words, ", ") + "]"
}

// inList writes text on one line.
func inList(s string) string {
	if w := scalar(s); w[0] != '"' {
		return w
	}
	return inQuotes(s)
}

// keyed puts a value under a key.
func keyed(key string, value written) []string {
	first := inList(key) + ":"
	if value.head != "" {
		first += " " + value.head
	}
	return append([]string{first}, value.lines...)
}
