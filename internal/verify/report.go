package verify

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// Result is the outcome of one entry.
type Result struct {
	ID        string
	Method    string
	Source    string
	Compared  int // values compared
	Largest   float64
	LargestAt string // empty when no numbers were compared
	Failures  []Difference
	absence   string // why values are absent, for the messages
}

// Difference is a field that does not pass.
type Difference struct {
	Field    string
	Expected any
	Computed any // nil when there is no computed value
	Problem  string
}

func (r *Result) fail(path string, expected, computed any, format string, args ...any) {
	r.Failures = append(r.Failures, Difference{path, expected, computed, fmt.Sprintf(format, args...)})
}

// Pass reports whether the entry passes.
func (r Result) Pass() bool { return len(r.Failures) == 0 }

// FileReport is the outcome of one reference file.
type FileReport struct {
	File    string
	Results []Result
	Remarks []string
	Err     error // the file could not be read; it then has no results
}

// Totals returns the entries passed and failed over files; a file that cannot be
// read is one that failed.
func Totals(reports ...FileReport) (passed, failed int) {
	for _, f := range reports {
		if f.Err != nil {
			failed++
		}
		for _, r := range f.Results {
			if r.Pass() {
				passed++
			} else {
				failed++
			}
		}
	}
	return passed, failed
}

// File runs every entry of a reference file. Data files are found relative to
// its folder.
func File(path string) FileReport {
	in, err := os.Open(path)
	if err != nil {
		return FileReport{File: path, Err: err}
	}
	defer in.Close()
	entries, remarks, err := readReference(path, in)
	report := FileReport{File: path, Remarks: remarks, Err: err}
	seen := map[string]bool{}
	for i := range entries {
		e := &entries[i]
		r := check(e, filepath.Dir(path))
		if seen[e.ID] {
			r.fail("id", e.ID, nil, "used by an earlier entry too")
		}
		seen[e.ID] = true
		report.Results = append(report.Results, r)
	}
	return report
}

// WriteText writes every entry with its source, the values compared, the
// largest difference and the fields that fail; last the totals.
func WriteText(w io.Writer, reports []FileReport) error {
	var b strings.Builder
	values := 0
	for _, f := range reports {
		if f.Err != nil {
			fmt.Fprintf(&b, "%s: cannot be read\n      %v\n", f.File, f.Err)
			continue
		}
		fmt.Fprintf(&b, "%s: %d entries\n", f.File, len(f.Results))
		for _, remark := range f.Remarks {
			fmt.Fprintf(&b, "      remark: %s\n", remark)
		}
		for _, r := range f.Results {
			writeResult(&b, r)
			values += r.Compared
		}
	}
	passed, failed := Totals(reports...)
	fmt.Fprintf(&b, "%s compared\n%d passed, %d failed\n", plural(values, "value"), passed, failed)
	_, err := io.WriteString(w, b.String())
	return err
}

func writeResult(b *strings.Builder, r Result) {
	verdict, source := "pass", r.Source
	if !r.Pass() {
		verdict = "FAIL"
	}
	if source == "" {
		source = "no source given"
	}
	fmt.Fprintf(b, "%s  %s (%s)\n      source: %s\n      %s compared", verdict, r.ID, r.Method, source,
		plural(r.Compared, "value"))
	if r.LargestAt != "" {
		fmt.Fprintf(b, ", largest difference %.3g (%s)", r.Largest, r.LargestAt)
	}
	b.WriteByte('\n')
	for _, d := range r.Failures {
		b.WriteString("      " + differenceLine(d) + "\n")
	}
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

func differenceLine(d Difference) string {
	line := d.Problem
	if d.Expected != nil || d.Computed != nil {
		line = "expected " + show(d.Expected) + ", computed " + show(d.Computed) + "; " + line
	}
	if d.Field != "" {
		line = d.Field + ": " + line
	}
	return line
}

// show writes a value in one line: unbounded numbers as the reference files do, what
// has parts as their number.
func show(v any) string {
	switch v := v.(type) {
	case nil:
		return "nothing"
	case float64:
		if math.IsInf(v, 0) {
			return strings.TrimPrefix(fmt.Sprintf("%+vinity", v), "+")
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	case fields: // an object too
		return fmt.Sprintf("object of %d fields", len(v))
	case rows:
		return fmt.Sprintf("list of %d", len(v.list))
	case []any:
		return fmt.Sprintf("list of %d", len(v))
	}
	return fmt.Sprint(v)
}
