package store

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"
)

// maxManifest bounds what is read of a manifest, in bytes: far above any.
const maxManifest = 1 << 20

// ArchiveError says that a file is no archive that can be restored, and all that
// is wrong with it.
type ArchiveError struct {
	File string
	What []string
}

func (e *ArchiveError) Error() string {
	return "backup " + e.File + ": " + strings.Join(e.What, "; ")
}

// openedArchive is an archive whose sums were found right.
type openedArchive struct {
	file     string
	zip      *zip.ReadCloser
	manifest Manifest
	tables   map[string]ArchivedTable // by name
}

func (a *openedArchive) Close() error { return a.zip.Close() }

func (a *openedArchive) refuse(what ...string) error {
	return &ArchiveError{File: a.file, What: what}
}

// openArchive opens an archive and checks all of it.
func openArchive(file string) (*openedArchive, error) {
	r, err := zip.OpenReader(file)
	if err != nil {
		var path *fs.PathError
		if errors.As(err, &path) {
			return nil, &ArchiveError{File: file, What: []string{path.Err.Error() +
				"; name a file that “cloche backup” wrote"}}
		}
		return nil, &ArchiveError{File: file, What: []string{"this is no archive, or it was cut short (" +
			oneLine(err) + "); use another backup"}}
	}
	a := &openedArchive{file: file, zip: r, tables: map[string]ArchivedTable{}}
	if err := a.check(); err != nil {
		return nil, errors.Join(err, r.Close())
	}
	return a, nil
}

// check reads the manifest and compares every file with it.
func (a *openedArchive) check() error {
	if err := a.readManifest(); err != nil {
		return err
	}
	var wrong []string
	expected := []string{manifestName}
	for _, t := range a.manifest.Tables {
		if _, twice := a.tables[t.Name]; twice {
			wrong = append(wrong, "the manifest lists table "+t.Name+" twice")
		}
		a.tables[t.Name] = t
		expected = append(expected, t.file())
		if what := a.checkTable(t); what != "" {
			wrong = append(wrong, t.file()+" "+what)
		}
	}
	seen := map[string]bool{}
	for _, f := range a.zip.File {
		if seen[f.Name] { // which of the two is read is chance
			wrong = append(wrong, f.Name+" stands in it twice")
		}
		seen[f.Name] = true
		if !slices.Contains(expected, f.Name) {
			wrong = append(wrong, f.Name+" is not in the manifest")
		}
	}
	if len(wrong) > 0 {
		return a.refuse(append(wrong, "the archive is damaged: use another backup")...)
	}
	return nil
}

func (a *openedArchive) readManifest() error {
	in, err := a.zip.Open(manifestName)
	if err != nil {
		return a.refuse("it has no " + manifestName + ": this is no backup; name a file that “cloche backup” wrote")
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, maxManifest))
	if err != nil {
		return a.refuse(manifestName + " cannot be read (" + oneLine(err) + "); use another backup")
	}
	if err := json.Unmarshal(text, &a.manifest); err != nil {
		return a.refuse(manifestName + " cannot be read (" + oneLine(err) + "); use another backup")
	}
	switch m := a.manifest; {
	case m.Cloche != "backup" || m.Version < 1:
		return a.refuse(manifestName + " is none of a backup; name a file that “cloche backup” wrote")
	case m.Format != ArchiveFormat:
		return a.refuse(fmt.Sprintf("it has format %d; this program reads format %d: use the program that wrote it",
			m.Format, ArchiveFormat))
	}
	return nil
}

// checkTable says what is wrong with the file of a table, "" when nothing is.
func (a *openedArchive) checkTable(t ArchivedTable) string {
	in, err := a.zip.Open(t.file())
	if err != nil {
		return "is missing"
	}
	defer in.Close()
	sum, rows := sha256.New(), lineCounter{}
	if _, err := io.Copy(io.MultiWriter(sum, &rows), in); err != nil {
		return "cannot be read (" + oneLine(err) + ")"
	}
	if got := hex.EncodeToString(sum.Sum(nil)); got != t.SHA256 {
		return fmt.Sprintf("has the SHA-256 %s, and the manifest says %s", got, t.SHA256)
	}
	if rows.n != t.Rows {
		return fmt.Sprintf("has %d rows, and the manifest says %d", rows.n, t.Rows)
	}
	return ""
}

// lineCounter counts line ends.
type lineCounter struct{ n int }

func (c *lineCounter) Write(p []byte) (int, error) {
	c.n += bytes.Count(p, []byte{'\n'})
	return len(p), nil
}
