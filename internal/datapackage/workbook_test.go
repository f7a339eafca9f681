package datapackage

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"cloche/internal/panel"
)

// TestWorkbookHasTheTablesCellByCell reopens the workbook: every sheet has the head, the rows
// and the types of its CSV file, the head stays in view, and no cell is a formula.
func TestWorkbookHasTheTablesCellByCell(t *testing.T) {
	d := custard(t)
	d.Comments = append(d.Comments, panel.Comment{Assessor: 1, Turn: 1, Position: 1,
		Text: `=HYPERLINK("http://example.org","free wine")`})
	files := filesOf(t, d)
	book, err := excelize.OpenReader(bytes.NewReader(files[workbookName]))
	must(t, err)
	defer book.Close()
	sheets := book.GetSheetList()
	if sheets[0] != "codebook" {
		t.Errorf("the first sheet is %s", sheets[0])
	}
	types := map[string]map[string]string{}
	for _, line := range rowsOf(t, files["codebook.csv"])[1:] {
		if types[line[0]] == nil {
			types[line[0]] = map[string]string{}
		}
		types[line[0]][line[1]] = line[2]
	}
	tables := 0
	for name, file := range files {
		table, isTable := strings.CutSuffix(name, ".csv")
		if !isTable {
			continue
		}
		tables++
		want := rowsOf(t, file)
		got, err := book.GetRows(table, excelize.Options{RawCellValue: true})
		must(t, err)
		if len(got) != len(want) {
			t.Errorf("%s has %d rows, want %d", table, len(got), len(want))
			continue
		}
		panes, err := book.GetPanes(table)
		must(t, err)
		if !panes.Freeze || panes.YSplit != 1 {
			t.Errorf("the head of %s moves away: %+v", table, panes)
		}
		for i := range want {
			for j, cell := range want[i] {
				has := ""
				if j < len(got[i]) {
					has = got[i][j]
				}
				kind := types[name][want[0][j]]
				if i == 0 {
					kind = text
				}
				if !sameCell(kind, has, cell) {
					t.Errorf("%s, row %d, column %d (%s): %q, want %q", table, i+1, j+1, kind, has, cell)
				}
				at, err := excelize.CoordinatesToCellName(j+1, i+1)
				must(t, err)
				if formula, err := book.GetCellFormula(table, at); formula != "" || err != nil {
					t.Errorf("%s, %s is a formula: %s, %v", table, at, formula, err)
				}
			}
		}
	}
	if tables != len(sheets) || tables < 10 {
		t.Errorf("%d sheets, %d tables", len(sheets), tables)
	}
	if !bytes.Equal(filesOf(t, d)[workbookName], files[workbookName]) {
		t.Error("made twice, the workbook differs")
	}
}

func rowsOf(t *testing.T, file []byte) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(file)).ReadAll()
	must(t, err)
	return rows
}

// sameCell compares a raw cell of a workbook with that of a CSV file. A time is stored as
// days since the end of 1899 (ECMA-376, part 1, section 18.17.4); spreadsheets show 15 digits.
func sameCell(kind, has, want string) bool {
	if want == "" || kind == text {
		return has == want
	}
	switch kind {
	case yesNo:
		return (has == "1" || has == "TRUE" || has == "true") == (want == "true")
	case datetime:
		days, err := strconv.ParseFloat(has, 64)
		at, wrong := time.Parse(time.RFC3339, want)
		since := at.Sub(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)).Hours() / 24
		return err == nil && wrong == nil && math.Abs(days-since) < 1e-5
	}
	a, err := strconv.ParseFloat(has, 64)
	b, wrong := strconv.ParseFloat(want, 64)
	return err == nil && wrong == nil && math.Abs(a-b) <= 1e-14*math.Abs(b)
}
