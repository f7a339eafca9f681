package datapackage

import (
	"archive/zip"
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// workbookName is the file with all tables as sheets.
const workbookName = "tables.xlsx"

// workbook has every table as a sheet, the codebook first: heads that stay in view, numbers
// as numbers, times as times. Texts are the same as in the CSV files: they are typed as
// text, which no spreadsheet runs, and keep the apostrophe that guards them when a sheet is
// saved as CSV again.
func workbook(tables []table) ([]byte, error) {
	f := excelize.NewFile()
	defer f.Close()
	head, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return nil, fmt.Errorf("style a workbook: %w", err)
	}
	format := "yyyy-mm-dd hh:mm:ss"
	moment, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
	if err != nil {
		return nil, fmt.Errorf("style a workbook: %w", err)
	}
	for i, t := range tables {
		if i == 0 {
			err = f.SetSheetName("Sheet1", t.name)
		} else {
			_, err = f.NewSheet(t.name)
		}
		if err == nil {
			err = t.sheet(f, head, moment)
		}
		if err != nil {
			return nil, fmt.Errorf("write table %s into a workbook: %w", t.name, err)
		}
	}
	b, err := f.WriteToBuffer()
	if err != nil {
		return nil, fmt.Errorf("write a workbook: %w", err)
	}
	return inOrder(b.Bytes())
}

// inOrder has the parts of a workbook by name: the library writes sheets in any order, and a
// package is the same bytes however often it is made.
func inOrder(book []byte) ([]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		return nil, fmt.Errorf("read a workbook: %w", err)
	}
	byName := func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) }
	parts := slices.SortedFunc(slices.Values(z.File), byName)
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, part := range parts {
		if err := w.Copy(part); err != nil {
			return nil, fmt.Errorf("order a workbook: %w", err)
		}
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("order a workbook: %w", err)
	}
	return out.Bytes(), nil
}

// sheet writes the table row by row, so that the rows before are not kept as cells.
func (t *table) sheet(f *excelize.File, head, moment int) error {
	w, err := f.NewStreamWriter(t.name)
	if err != nil {
		return err
	}
	cells := make([]any, len(t.fields))
	for i, x := range t.fields {
		if err := w.SetColWidth(i+1, i+1, widthOf(x)); err != nil {
			return err
		}
		cells[i] = excelize.Cell{StyleID: head, Value: x.name}
	}
	stays := &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}
	if err := w.SetPanes(stays); err != nil {
		return err
	}
	if err := w.SetRow("A1", cells); err != nil {
		return err
	}
	for n, row := range t.rows {
		for i, text := range row {
			if cells[i], err = cellOf(t.fields[i], text, moment); err != nil {
				return fmt.Errorf("row %d, field %s: %w", n+1, t.fields[i].name, err)
			}
		}
		if err := w.SetRow("A"+strconv.Itoa(n+2), cells); err != nil {
			return err
		}
	}
	return w.Flush()
}

func widthOf(x field) float64 {
	switch {
	case x.kind == datetime:
		return 20
	case x.name == "description" || x.name == "says" || x.name == "detail" || x.name == "comment":
		return 60
	}
	return max(10, float64(len(x.name))+2)
}

// cellOf is a cell in the type of its field; a missing value is an empty cell.
func cellOf(x field, cell string, moment int) (any, error) {
	if cell == "" {
		return nil, nil
	}
	switch x.kind {
	case whole, number:
		return strconv.ParseFloat(cell, 64)
	case yesNo:
		return strconv.ParseBool(cell)
	case datetime:
		at, err := time.Parse(time.RFC3339, cell)
		return excelize.Cell{StyleID: moment, Value: at}, err
	}
	return cell, nil
}
