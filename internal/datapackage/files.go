package datapackage

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/json"
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
	Versions []panel.VersionLine
	Photos   []panel.Photo
	Report   report.Options // what the report says beside the findings
	Publication
	Sheet []byte    // the plan in words, as its page gives it
	At    time.Time // when the package is made
}

// ErrNotClosed says that the blind still holds.
var ErrNotClosed = errors.New("the study is not closed: its key stays shut until the last rating is in")

// servingPlan is the file over which the hash of the serving plan was made.
const servingPlan = "serving-plan.txt"

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
	if len(d.Sheet) == 0 {
		return nil, errors.New("the plan in words is missing")
	}
	tables, err := d.tables()
	if err != nil {
		return nil, err
	}
	files := []File{
		{Name: "README.txt"}, // once all tables are known
		{"study.yaml", []byte(d.Study.File)},
		{"study.json", study.Canonical(d.Study.Spec)},
		{"plan.txt", d.Sheet},
		{servingPlan, d.Plan.Canonical()},
		{"CITATION.cff", d.citation()},
	}
	registered, err := d.registration()
	if err != nil {
		return nil, err
	}
	files = append(files, File{"registration.json", registered})
	var said []File
	if d.Findings != nil {
		if said, err = d.findingsFiles(); err != nil {
			return nil, err
		}
		counted, err := numbers(said[0].Bytes)
		if err != nil {
			return nil, err
		}
		tables = append(tables, counted...)
		said = append(said, File{"analysis.R", d.script()})
		if d.Report.Methods != "" {
			said = append(said, File{"methods.txt", []byte(d.Report.Methods + "\n")})
		}
	}
	files[0].Bytes = d.readme(tables)
	book, err := workbook(append([]table{codebookOf(tables)}, tables...))
	if err != nil {
		return nil, err
	}
	for _, t := range append(tables, codebookOf(tables)) {
		text, err := t.csv()
		if err != nil {
			return nil, err
		}
		files = append(files, File{t.name + ".csv", text})
	}
	files = append(files, File{workbookName, book})
	files = append(files, said...)
	files = append(files, photos(d.Photos)...)
	described, err := d.describe(append(tables, codebookOf(tables)), files)
	if err != nil {
		return nil, err
	}
	files = append(files, File{"datapackage.json", described})
	return append(files, File{"SHA256SUMS", sums(files)}), nil
}

// findingsFiles are the findings, for a program and for a reader.
func (d Data) findingsFiles() ([]File, error) {
	var findings, page bytes.Buffer
	if err := report.WriteJSON(&findings, d.Study.Spec, d.Findings); err != nil {
		return nil, fmt.Errorf("write findings: %w", err)
	}
	if err := report.WriteHTML(&page, report.Build(d.Study.Spec, d.Findings, d.Report)); err != nil {
		return nil, err
	}
	schema, err := report.FindingsSchema()
	if err != nil {
		return nil, fmt.Errorf("describe findings: %w", err)
	}
	described, err := json.MarshalIndent(schema, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("describe findings: %w", err)
	}
	return []File{{"findings.json", findings.Bytes()}, {"findings.schema.json", append(described, '\n')},
		{"report.html", page.Bytes()}}, nil
}

// StudyFiles are the files of a study that nobody has tasted yet: what can be had of
// it without its key. sheet is its plan in words; a draft has none.
func StudyFiles(stored panel.Study, sheet []byte, pictures []panel.Photo) []File {
	files := []File{{"study.yaml", []byte(stored.File)}}
	if stored.State != panel.Draft {
		files = append(files, File{"study.json", study.Canonical(stored.Spec)}, File{"plan.txt", sheet})
	}
	files = append(files, photos(pictures)...)
	return append(files, File{"SHA256SUMS", sums(files)})
}

func photos(pictures []panel.Photo) []File {
	files := make([]File, len(pictures))
	for i, p := range pictures {
		files[i] = File{"photo-" + string(p.Dish) + ".jpg", p.JPEG}
	}
	return files
}

// Zip packs files into one, for a browser.
func Zip(files []File, at time.Time) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate, Modified: at})
		if err != nil {
			return nil, fmt.Errorf("pack %s: %w", f.Name, err)
		}
		if _, err := w.Write(f.Bytes); err != nil {
			return nil, fmt.Errorf("pack %s: %w", f.Name, err)
		}
	}
	if err := z.Close(); err != nil {
		return nil, fmt.Errorf("pack files: %w", err)
	}
	return b.Bytes(), nil
}

// sums lists the files as sha256sum does.
func sums(files []File) []byte {
	var b bytes.Buffer
	for _, f := range files {
		fmt.Fprintf(&b, "%x  %s\n", sha256.Sum256(f.Bytes), f.Name)
	}
	return b.Bytes()
}
