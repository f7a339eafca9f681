package verify

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
)

// FileReport is the outcome of one reference file.
type FileReport struct {
	File    string
	Results []Result
	Remarks []string
	Err     error // the file could not be read; it then has no results
}

// Passed and Failed count entries; a file that cannot be read is one failure.
func (f FileReport) Passed() int {
	n := 0
	for _, r := range f.Results {
		if r.Pass() {
			n++
		}
	}
	return n
}

// Failed counts the entries that do not pass.
func (f FileReport) Failed() int {
	if f.Err != nil {
		return 1
	}
	return len(f.Results) - f.Passed()
}

// File runs every entry of a reference file. Data files are found relative to
// its folder.
func File(path string) FileReport {
	report := FileReport{File: path}
	in, err := os.Open(path)
	if err != nil {
		report.Err = err
		return report
	}
	defer in.Close()
	reference, err := readReference(path, in)
	if err != nil {
		report.Err = err
		return report
	}
	report.Remarks = reference.remarks
	seen := map[string]bool{}
	for i := range reference.entries {
		e := &reference.entries[i]
		r := check(e, filepath.Dir(path))
		if seen[e.id] {
			r.Failures = append(r.Failures, Difference{Field: "id", Expected: e.id,
				Problem: "used by an earlier entry too"})
		}
		seen[e.id] = true
		report.Results = append(report.Results, r)
	}
	return report
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
