package study

import (
	"fmt"
	"strings"
)

// Problem is one mistake in a file that a person wrote.
type Problem struct {
	File         string
	Line, Column int    // from 1; 0 when the problem has no place
	What         Said   // what is wrong
	Instead      Said   // what to write instead
	Path         string // of the value it is about ("dishes[0].title"), written or missing; "" for the file
}

// Error gives the problem as "file:line:column: what is wrong; what to write instead".
func (p Problem) Error() string {
	text := p.What.String()
	if p.Instead.Text != "" {
		text += "; " + p.Instead.String()
	}
	if p.Line == 0 {
		return fmt.Sprintf("%s: %s", p.File, text)
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, text)
}

// Said is a sentence, or a part of one, that the program says to a person: its text in English,
// with verbs of package fmt where values are put in. Whoever speaks another language puts the
// text into it and the values in the same order; a value may be a Said itself.
type Said struct {
	Text   string
	Values []any
}

// Say is a text with what goes into it.
func Say(text string, values ...any) Said { return Said{text, values} }

// String is what is said in English.
func (s Said) String() string {
	if len(s.Values) == 0 {
		return s.Text
	}
	return fmt.Sprintf(s.Text, s.Values...)
}

// Parts are the text and its values.
func (s Said) Parts() (text string, values []any) { return s.Text, s.Values }

// Figure is a number within what is said, written in the English way: whoever speaks another
// language puts its decimal mark in.
type Figure string

// InMark is the number with another decimal mark.
func (f Figure) InMark(mark string) string { return strings.Replace(string(f), ".", mark, 1) }
