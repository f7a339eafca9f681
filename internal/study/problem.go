package study

import "fmt"

// Problem is one mistake in a file that a person wrote.
type Problem struct {
	File         string
	Line, Column int    // from 1; 0 when the problem has no place
	What         string // what is wrong
	Instead      string // what to write instead
	Path         string // of the value it is about ("dishes[0].title"), written or missing; "" for the file
}

// Error gives the problem as "file:line:column: what is wrong; what to write instead".
func (p Problem) Error() string {
	text := p.What
	if p.Instead != "" {
		text += "; " + p.Instead
	}
	if p.Line == 0 {
		return fmt.Sprintf("%s: %s", p.File, text)
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, text)
}
