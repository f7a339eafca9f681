package datapackage

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/study"
)

// Data is what a data package is made of.
type Data struct {
	Study    panel.Study // closed, with the study that its file asks for
	Plan     *design.Plan
	Sittings []panel.Sitting
	panel.Collected
	Findings *analysis.Result // nil when nobody had rated anything
	At       time.Time        // when the package is made
}

// ErrNotClosed says that the blind still holds.
var ErrNotClosed = errors.New("the study is not closed: its key stays shut until the last rating is in")

// File is one file of a package.
type File struct {
	Name  string
	Bytes []byte
}

// Files makes the files of a package, by the order in which a reader wants them.
// [ErrNotClosed] before the study is closed; an error when the plan is not the one
// that was locked.
func Files(d Data) ([]File, error) {
	if d.Study.State != panel.Closed {
		return nil, ErrNotClosed
	}
	if got := d.Plan.Hash(); got != d.Study.Lock.PlanHash {
		return nil, fmt.Errorf("the plan's hash is %s, locked was %s", got, d.Study.Lock.PlanHash)
	}
	tables, err := d.tables()
	if err != nil {
		return nil, err
	}
	files := []File{
		{"README.txt", d.readme(tables)},
		{"study.yaml", []byte(d.Study.File)},
		{"study.json", study.Canonical(d.Study.Asked)},
		{"plan.txt", d.Plan.Canonical()},
	}
	for _, t := range append(tables, codebookOf(tables)) {
		text, err := t.csv()
		if err != nil {
			return nil, err
		}
		files = append(files, File{t.name + ".csv", text})
	}
	if d.Findings != nil {
		var b bytes.Buffer
		if err := report.WriteJSON(&b, d.Findings); err != nil {
			return nil, fmt.Errorf("write findings: %w", err)
		}
		files = append(files, File{"findings.json", b.Bytes()})
	}
	described, err := d.describe(append(tables, codebookOf(tables)), files)
	if err != nil {
		return nil, err
	}
	files = append(files, File{"datapackage.json", described})
	return append(files, File{"SHA256SUMS", sums(files)}), nil
}

// sums lists the files as sha256sum does.
func sums(files []File) []byte {
	var b bytes.Buffer
	for _, f := range files {
		fmt.Fprintf(&b, "%x  %s\n", sha256.Sum256(f.Bytes), f.Name)
	}
	return b.Bytes()
}
