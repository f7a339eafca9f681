package datapackage

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/unicode/norm"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// MaxPaper bounds a table that was typed from paper, in bytes; a workbook unpacks to
// maxUnpacked at most, for a small file may hold a large one.
const (
	MaxPaper    = 1 << 20
	maxUnpacked = 32 << 20
)

// ReadPaper reads a table that somebody typed from paper ballots: CSV in UTF-8 with commas or
// semicolons, or the first sheet of an Excel workbook. A problem says what keeps it from
// being read at all; what its cells say is for [panel.Service.CheckPaper].
func ReadPaper(name string, file []byte) (panel.PaperTable, *study.Problem) {
	read := readText
	if bytes.HasPrefix(file, []byte("PK\x03\x04")) {
		read = readBook
	}
	rows, problem := read(file)
	if problem == nil && len(rows) == 0 {
		problem = &study.Problem{What: study.Say("the file is empty"),
			Instead: study.Say("download the sheet to fill in, and type into that")}
	}
	if problem != nil {
		problem.File = name
		return panel.PaperTable{}, problem
	}
	return panel.PaperTable{File: name, Head: rows[0].Cells, Rows: rows[1:]}, nil
}

func readText(file []byte) (rows []panel.PaperRow, _ *study.Problem) {
	file = bytes.TrimPrefix(file, []byte("\ufeff"))
	if !utf8.Valid(file) || bytes.IndexByte(file, 0) >= 0 {
		return nil, &study.Problem{What: study.Say("the file is neither CSV in UTF-8 nor an Excel workbook (.xlsx)"),
			Instead: study.Say("save it as one of the two")}
	}
	in := csv.NewReader(bytes.NewReader(file))
	in.FieldsPerRecord = -1
	head, _, _ := bytes.Cut(file, []byte("\n"))
	if bytes.Count(head, []byte(";")) > bytes.Count(head, []byte(",")) {
		in.Comma = ';'
	}
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		var wrong *csv.ParseError
		if errors.As(err, &wrong) {
			return nil, &study.Problem{Line: wrong.Line, What: study.Say("the row cannot be read: %s",
				wrong.Err.Error()),
				Instead: study.Say("put double quotes around the whole cell, and write a quote within it twice")}
		}
		if err != nil {
			return nil, &study.Problem{What: study.Say(err.Error())}
		}
		line, _ := in.FieldPos(0)
		rows = append(rows, panel.PaperRow{Line: line, Cells: plainCells(cells)})
	}
}

// readBook reads the first sheet of a workbook. Rows keep their numbers.
func readBook(file []byte) (rows []panel.PaperRow, _ *study.Problem) {
	unread := &study.Problem{What: study.Say("the workbook cannot be read"),
		Instead: study.Say("save the sheet as CSV in UTF-8")}
	book, err := excelize.OpenReader(bytes.NewReader(file), excelize.Options{UnzipSizeLimit: maxUnpacked,
		UnzipXMLSizeLimit: maxUnpacked, RawCellValue: true})
	if err != nil {
		return nil, unread
	}
	defer book.Close()
	all, err := book.GetRows(book.GetSheetName(0))
	if err != nil {
		return nil, unread
	}
	for i, cells := range all {
		if len(rows) == 0 && len(cells) == 0 {
			continue
		}
		rows = append(rows, panel.PaperRow{Line: i + 1, Cells: plainCells(cells)})
	}
	return rows, nil
}

// plainCells are cells in the composed form, without the apostrophe that keeps a spreadsheet
// from running them.
func plainCells(cells []string) []string {
	plain := make([]string, len(cells))
	for i, c := range cells {
		plain[i] = norm.NFC.String(strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(c), "'")))
	}
	return plain
}

// PaperCSV is a table as [ReadPaper] reads it.
func PaperCSV(t panel.PaperTable) ([]byte, error) {
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	if err := out.Write(guarded(t.Head)); err != nil {
		return nil, fmt.Errorf("write a table: %w", err)
	}
	for _, row := range t.Rows {
		if err := out.Write(guarded(row.Cells)); err != nil {
			return nil, fmt.Errorf("write a table: %w", err)
		}
	}
	out.Flush()
	return b.Bytes(), out.Error()
}

func guarded(cells []string) []string {
	safe := make([]string, len(cells))
	for i, c := range cells {
		safe[i] = guard(c)
	}
	return safe
}
