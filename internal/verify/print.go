package verify

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// Totals returns the entries passed and failed over all files.
func Totals(reports []FileReport) (passed, failed int) {
	for _, f := range reports {
		passed += f.Passed()
		failed += f.Failed()
	}
	return passed, failed
}

// WriteText writes every entry with its source, the values compared, the
// largest difference and the fields that fail; last the totals.
func WriteText(w io.Writer, reports []FileReport) error {
	var b strings.Builder
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
		}
	}
	passed, failed := Totals(reports)
	fmt.Fprintf(&b, "%d passed, %d failed\n", passed, failed)
	_, err := io.WriteString(w, b.String())
	return err
}

func writeResult(b *strings.Builder, r Result) {
	verdict := "pass"
	if !r.Pass() {
		verdict = "FAIL"
	}
	source := r.Source
	if source == "" {
		source = "no source given"
	}
	fmt.Fprintf(b, "%s  %s (%s)\n      source: %s\n      %s", verdict, r.ID, r.Method, source,
		plural(r.Compared, "field"))
	if r.LargestAt != "" {
		fmt.Fprintf(b, " compared, largest difference %.3g (%s)\n", r.Largest, r.LargestAt)
	} else {
		b.WriteString(" compared\n")
	}
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
	var parts []string
	if d.Field != "" {
		parts = append(parts, d.Field+":")
	}
	if d.Expected != nil || d.Computed != nil {
		parts = append(parts, "expected "+show(d.Expected)+", computed "+show(d.Computed)+";")
	}
	return strings.Join(append(parts, d.Problem), " ")
}

func show(v any) string {
	switch v := v.(type) {
	case nil:
		return "nothing"
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case string:
		return v
	}
	return fmt.Sprint(v)
}

type jsonReport struct {
	Files  []jsonFile `json:"files"`
	Passed int        `json:"passed"`
	Failed int        `json:"failed"`
}

type jsonFile struct {
	File    string      `json:"file"`
	Error   string      `json:"error,omitempty"`
	Remarks []string    `json:"remarks,omitempty"`
	Entries []jsonEntry `json:"entries"`
}

type jsonEntry struct {
	ID        string        `json:"id"`
	Method    string        `json:"method"`
	Source    string        `json:"source"`
	Line      int           `json:"line"`
	Pass      bool          `json:"pass"`
	Compared  int           `json:"fields_compared"`
	Largest   *float64      `json:"largest_difference"`
	LargestAt string        `json:"largest_difference_field,omitempty"`
	Failures  []jsonFailure `json:"failures,omitempty"`
}

type jsonFailure struct {
	Field    string `json:"field"`
	Expected any    `json:"expected"`
	Computed any    `json:"computed"`
	Problem  string `json:"problem"`
}

// WriteJSON writes the same as [WriteText] as one JSON object.
func WriteJSON(w io.Writer, reports []FileReport) error {
	out := jsonReport{Files: []jsonFile{}}
	out.Passed, out.Failed = Totals(reports)
	for _, f := range reports {
		file := jsonFile{File: f.File, Remarks: f.Remarks, Entries: []jsonEntry{}}
		if f.Err != nil {
			file.Error = f.Err.Error()
		}
		for _, r := range f.Results {
			file.Entries = append(file.Entries, resultJSON(r))
		}
		out.Files = append(out.Files, file)
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(out)
}

func resultJSON(r Result) jsonEntry {
	e := jsonEntry{ID: r.ID, Method: r.Method, Source: r.Source, Line: r.Line, Pass: r.Pass(),
		Compared: r.Compared, LargestAt: r.LargestAt}
	if r.LargestAt != "" {
		e.Largest = &r.Largest
	}
	for _, d := range r.Failures {
		e.Failures = append(e.Failures, jsonFailure{d.Field, jsonValue(d.Expected), jsonValue(d.Computed), d.Problem})
	}
	return e
}

// jsonValue writes unbounded numbers as the reference files do and absent
// ones as null.
func jsonValue(v any) any {
	f, ok := v.(float64)
	switch {
	case !ok:
		return v
	case math.IsNaN(f):
		return nil
	case math.IsInf(f, 1):
		return "Infinity"
	case math.IsInf(f, -1):
		return "-Infinity"
	}
	return f
}
