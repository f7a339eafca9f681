package datapackage

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"cloche/internal/panel"
)

// TestPaperTablesAreReadAlike reads one table as spreadsheets save it, and from a workbook.
func TestPaperTablesAreReadAlike(t *testing.T) {
	book := excelize.NewFile()
	must(t, book.SetSheetRow("Sheet1", "A1", &[]any{"assessor", "code", "salt", "comment"}))
	must(t, book.SetSheetRow("Sheet1", "A3", &[]any{7, 421, 12.5, "=warm"}))
	b, err := book.WriteToBuffer()
	must(t, err)
	want := panel.PaperTable{File: "x", Head: []string{"assessor", "code", "salt", "comment"},
		Rows: []panel.PaperRow{{Line: 2, Cells: []string{}}, {Line: 3, Cells: []string{"7", "421", "12.5", "=warm"}}}}
	for name, file := range map[string]string{
		"commas":     "assessor,code,salt,comment\n\n7,421,12.5,'=warm\n",
		"semicolons": "\ufeffassessor;code;salt;comment\r\n\r\n7;421;12.5;'=warm\r\n",
		"workbook":   b.String(),
	} {
		got, problem := ReadPaper("x", []byte(file))
		if problem != nil {
			t.Fatalf("%s: %v", name, problem)
		}
		filled := want
		if name != "workbook" { // blank lines are no rows of a CSV file
			filled.Rows = want.Rows[1:]
		}
		if diff := cmp.Diff(filled, got); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
		text, err := PaperCSV(got)
		must(t, err)
		again, problem := ReadPaper("x", text)
		if problem != nil || !cmp.Equal(again.Rows[len(again.Rows)-1].Cells, want.Rows[1].Cells) {
			t.Errorf("%s, written and read again: %v, %v", name, again, problem)
		}
	}
	for name, tc := range map[string]struct{ file, want string }{
		"empty":     {"", "the file is empty"},
		"a picture": {"\xff\xd8\xff", "neither CSV in UTF-8 nor an Excel workbook"},
		"a quote":   {"assessor,code\n1,\"2", "the row cannot be read"},
		"a zip":     {"PK\x03\x04 but no workbook", "the workbook cannot be read"},
	} {
		if _, problem := ReadPaper("x", []byte(tc.file)); problem == nil || !strings.Contains(problem.What.String(),
			tc.want) {
			t.Errorf("%s: %v, want %q", name, problem, tc.want)
		}
	}
}
