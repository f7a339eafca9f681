package analysis

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"cloche/internal/study"
)

// Bounds of a file: far above any panel, low enough to be read in one go.
const (
	maxFileBytes = 32 << 20
	maxProblems  = 100 // beyond this the rest is counted, not listed
)

// csvFile is a table as a person's spreadsheet wrote it.
type csvFile struct {
	file     string
	rows     *csv.Reader
	decimal  byte           // ',' beside '.' in files cut by semicolons
	column   map[string]int // of the wanted columns
	width    int            // cells of the header
	problems []study.Problem
	unlisted int
}

// csvRow is one row with the place of its cells.
type csvRow struct {
	from  *csvFile
	cells []string
	line  int
}

// openCSV reads the header. It reports what keeps the file from being read at all,
// such as a wanted column that is missing and may not be.
func openCSV(file string, r io.Reader, wanted []string, mayMiss ...string) *csvFile {
	f := &csvFile{file: file, column: map[string]int{}}
	text, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	switch {
	case err != nil:
		f.report(0, 0, fmt.Sprintf("reading stopped: %v", err), "")
		return f
	case len(text) > maxFileBytes:
		f.report(0, 0, fmt.Sprintf("the file is larger than %d MB", maxFileBytes>>20), "split it")
		return f
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if bad := firstInvalid(text); bad >= 0 {
		line := 1 + bytes.Count(text[:bad], []byte("\n"))
		f.report(line, bad-bytes.LastIndexByte(text[:bad], '\n'), "the file is not in UTF-8", "save it as CSV in UTF-8")
		return f
	}
	f.rows = csv.NewReader(bytes.NewReader(text))
	f.rows.FieldsPerRecord = -1
	f.rows.ReuseRecord = true
	f.rows.Comma = separator(text)
	if f.rows.Comma == ';' {
		f.decimal = ','
	}
	f.readHeader(wanted, mayMiss)
	return f
}

// firstInvalid is the offset of the first byte that is not UTF-8, or −1.
func firstInvalid(text []byte) int {
	if utf8.Valid(text) {
		return -1
	}
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return -1
}

// separator is the semicolon when the header holds more of them than commas.
func separator(text []byte) rune {
	header, _, _ := bytes.Cut(text, []byte("\n"))
	if bytes.Count(header, []byte(";")) > bytes.Count(header, []byte(",")) {
		return ';'
	}
	return ','
}

func (f *csvFile) readHeader(wanted, mayMiss []string) {
	header, err := f.rows.Read()
	if err != nil {
		if !errors.Is(err, io.EOF) {
			f.reportSyntax(err)
			return
		}
		f.report(1, 1, "the file is empty", "begin with the line "+strings.Join(wanted, ","))
		return
	}
	f.width = len(header)
	for i, cell := range header {
		name := strings.ToLower(strings.TrimSpace(cell))
		if !slices.Contains(wanted, name) {
			continue
		}
		if _, twice := f.column[name]; twice {
			_, column := f.rows.FieldPos(i)
			f.report(1, column, fmt.Sprintf("the column %q stands twice", name), "keep one")
		}
		f.column[name] = i
	}
	var missing []string
	for _, name := range wanted {
		if _, ok := f.column[name]; !ok && !slices.Contains(mayMiss, name) {
			missing = append(missing, fmt.Sprintf("%q", name))
		}
	}
	if len(missing) > 0 {
		f.report(1, 1, "missing column "+strings.Join(missing, ", "),
			"the first line must name the columns "+strings.Join(wanted, ","))
	}
}

// next returns the next row that is not blank; false at the end.
func (f *csvFile) next() (csvRow, bool) {
	for {
		cells, err := f.rows.Read()
		if errors.Is(err, io.EOF) {
			return csvRow{}, false
		}
		if err != nil {
			f.reportSyntax(err)
			return csvRow{}, false
		}
		line, _ := f.rows.FieldPos(0)
		blank := !slices.ContainsFunc(cells, func(c string) bool { return strings.TrimSpace(c) != "" })
		switch {
		case blank: // spreadsheets leave rows of separators behind
		case len(cells) < f.width:
			f.report(line, 1, fmt.Sprintf("this row has %d cells, the first line has %d", len(cells), f.width),
				"give every column a cell; it may be empty")
		case slices.ContainsFunc(cells[f.width:], func(c string) bool { return strings.TrimSpace(c) != "" }):
			// Often a decimal comma in a file cut by commas: 58,5 must not become 58.
			f.report(line, 1, fmt.Sprintf("this row has %d cells, the first line has %d", len(cells), f.width),
				"put a cell that holds the separator between double quotes, or write the number with a point")
		default:
			return csvRow{f, cells, line}, true
		}
	}
}

// text is a cell without surrounding space, in the composed form (NFC): some
// systems write é as two characters. It is "" in a column that the file does not have.
func (r csvRow) text(column string) string {
	at, there := r.from.column[column]
	if !there {
		return ""
	}
	cell := strings.TrimSpace(r.cells[at])
	return strings.TrimSpace(norm.NFC.String(unguard(cell)))
}

// report notes a problem with a cell of the row.
func (r csvRow) report(column, what, instead string) {
	line, at := r.from.rows.FieldPos(r.from.column[column])
	r.from.report(line, at, what, instead)
}

func (f *csvFile) reportSyntax(err error) {
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		f.report(parse.Line, parse.Column, "the row cannot be read: "+parse.Err.Error(),
			"put double quotes around the whole cell, and write a quote within it twice")
		return
	}
	f.report(0, 0, err.Error(), "")
}

func (f *csvFile) report(line, column int, what, instead string) {
	if len(f.problems) >= maxProblems {
		f.unlisted++
		return
	}
	f.problems = append(f.problems, study.Problem{File: f.file, Line: line, Column: column, What: study.Say(what),
		Instead: study.Say(instead)})
}

// allProblems closes the list with a count of what was not listed.
func (f *csvFile) allProblems() []study.Problem {
	if f.unlisted == 0 {
		return f.problems
	}
	return append(f.problems, study.Problem{File: f.file, What: study.Say("and %d more mistakes", f.unlisted)})
}
