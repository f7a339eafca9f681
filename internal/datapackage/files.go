package datapackage

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sync"
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
	Stamp    panel.TimeStamp
	Whole    []byte         // all that the service keeps of the study; none = left out
	Report   report.Options // what the report says beside the findings
	Publication
	Sheet []byte    // the plan in words, as its page gives it
	At    time.Time // when the package is made
}

// ErrNotClosed says that the blind still holds.
var ErrNotClosed = errors.New("the study is not closed: its key stays shut until the last rating is in")

// servingPlan is the file over which the hash of the serving plan was made.
const servingPlan = "serving-plan.txt"

// wholeStudy is the file by which a study moves to another service.
const wholeStudy = "whole-study.jsonl"

// File is one file of a package.
type File struct {
	Name  string
	Bytes []byte
}

// Write makes the files of a package one by one, by the order in which a reader wants them,
// and hands each to put: only the tables are held until the end. [ErrNotClosed] before the
// study is closed; an error when the plan is not the one that was locked. Both come before
// the first file.
func Write(d Data, put func(File) error) error {
	if d.Study.State != panel.Closed {
		return ErrNotClosed
	}
	if got := d.Plan.Hash(); got != d.Study.Lock.PlanHash {
		return fmt.Errorf("the plan's hash is %s, locked was %s", got, d.Study.Lock.PlanHash)
	}
	if len(d.Sheet) == 0 {
		return errors.New("the plan in words is missing")
	}
	tables, err := d.tables()
	if err != nil {
		return err
	}
	var findings []byte
	if d.Findings != nil {
		if findings, err = d.findings(); err != nil {
			return err
		}
		counted, err := numbers(findings)
		if err != nil {
			return err
		}
		tables = append(tables, counted...)
	}
	book := codebookOf(tables)
	w := writer{put: put}
	w.file("README.txt", d.readme(tables))
	d.fixed(&w)
	for _, t := range append(tables, book) {
		w.make(t.name+".csv", t.csv)
	}
	w.make(workbookName, func() ([]byte, error) { return workbook(append([]table{book}, tables...)) })
	if d.Findings != nil {
		d.findingsFiles(&w, findings)
	}
	if d.Whole != nil {
		w.file(wholeStudy, d.Whole)
	}
	for _, f := range append(photos(d.Photos), stampFiles(d.Study, d.Stamp)...) {
		w.file(f.Name, f.Bytes)
	}
	w.make("datapackage.json", func() ([]byte, error) { return d.describe(append(tables, book), w.made) })
	w.file("SHA256SUMS", sums(w.made))
	return w.err
}

// fixed are the files of what was fixed before the first rating.
func (d Data) fixed(w *writer) {
	w.file("study.yaml", []byte(d.Study.File))
	w.file("study.json", study.Canonical(d.Study.Spec))
	w.file("plan.txt", d.Sheet)
	w.file(servingPlan, d.Plan.Canonical())
	w.file("CITATION.cff", d.citation())
	w.make("registration.json", d.registration)
}

// findingsFiles are the files of the findings, for programs and for readers; findings is findings.json.
func (d Data) findingsFiles(w *writer, findings []byte) {
	w.file("findings.json", findings)
	w.make("findings.schema.json", findingsSchema)
	w.make("report.html", func() ([]byte, error) {
		var page bytes.Buffer
		err := report.WriteHTML(&page, report.Build(d.Study.Spec, d.Findings, d.Report))
		return page.Bytes(), err
	})
	w.file("analysis.R", d.script())
	w.make("analysis.py", d.scriptPy)
	if d.drawsAgain() {
		w.make(redrawsFile, d.redraws)
	}
	if len(d.Report.Methods) > 0 {
		w.file("methods.txt", []byte(report.MethodsFile(d.Report.Methods)))
	}
}

// findings are those for a program, findings.json.
func (d Data) findings() ([]byte, error) {
	var b bytes.Buffer
	if err := report.WriteJSON(&b, d.Study.Spec, d.Findings); err != nil {
		return nil, fmt.Errorf("write findings: %w", err)
	}
	return b.Bytes(), nil
}

// findingsSchema is made once: that takes longer than most files of a package.
var findingsSchema = sync.OnceValues(func() ([]byte, error) {
	schema, err := report.FindingsSchema()
	if err != nil {
		return nil, fmt.Errorf("describe findings: %w", err)
	}
	described, err := json.MarshalIndent(schema, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("describe findings: %w", err)
	}
	return append(described, '\n'), nil
})

// writer hands files on, and keeps of each what the description and the list of sums say.
// After an error it makes no more.
type writer struct {
	put  func(File) error
	made []madeFile
	err  error
}

// madeFile is what is kept of a file that was handed on.
type madeFile struct {
	name  string
	bytes int
	sum   [sha256.Size]byte
}

func (w *writer) make(name string, content func() ([]byte, error)) {
	if w.err != nil {
		return
	}
	b, err := content()
	if w.err = err; err == nil {
		w.file(name, b)
	}
}

func (w *writer) file(name string, b []byte) {
	if w.err != nil {
		return
	}
	w.made = append(w.made, madeFile{name, len(b), sha256.Sum256(b)})
	w.err = w.put(File{name, b})
}

// StudyFiles are the files of a study that nobody has tasted yet: what can be had of
// it without its key. sheet is its plan in words; a draft has none.
func StudyFiles(stored panel.Study, sheet []byte, pictures []panel.Photo, stamp panel.TimeStamp) []File {
	files := []File{{"study.yaml", []byte(stored.File)}}
	if stored.State != panel.Draft {
		files = append(files, File{"study.json", study.Canonical(stored.Spec)}, File{"plan.txt", sheet})
	}
	files = append(append(files, photos(pictures)...), stampFiles(stored, stamp)...)
	var all []File
	w := writer{put: func(f File) error { all = append(all, f); return nil }}
	for _, f := range files {
		w.file(f.Name, f.Bytes)
	}
	w.file("SHA256SUMS", sums(w.made))
	return all
}

// The files of a time stamp: what was stamped, the request and the answer.
const (
	lockedSums   = "locked.sha256"
	stampRequest = "time-stamp.tsq"
	stampAnswer  = "time-stamp.tsr"
)

// stampFiles are those of a time stamp; none until there is an answer.
func stampFiles(stored panel.Study, stamp panel.TimeStamp) []File {
	if len(stamp.Answer) == 0 {
		return nil
	}
	return []File{{lockedSums, panel.LockedSums(stored)}, {stampRequest, stamp.Request}, {stampAnswer, stamp.Answer}}
}

func photos(pictures []panel.Photo) []File {
	files := make([]File, len(pictures))
	for i, p := range pictures {
		files[i] = File{"photo-" + string(p.Dish) + ".jpg", p.JPEG}
	}
	return files
}

// Zip packs files into one, for a browser, each as it is put: what write makes goes to out
// before the next is made.
func Zip(out io.Writer, at time.Time, write func(put func(File) error) error) error {
	z := zip.NewWriter(out)
	err := write(func(f File) error {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate, Modified: at})
		if err == nil {
			_, err = w.Write(f.Bytes)
		}
		if err == nil {
			err = z.Flush()
		}
		if err != nil {
			return fmt.Errorf("pack %s: %w", f.Name, err)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("pack files: %w", err)
	}
	return nil
}

// sums lists the files as sha256sum does.
func sums(files []madeFile) []byte {
	var b bytes.Buffer
	for _, f := range files {
		fmt.Fprintf(&b, "%x  %s\n", f.sum, f.name)
	}
	return b.Bytes()
}
