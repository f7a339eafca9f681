package datapackage

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// Move is a study with its whole record, as its package brings it from another service.
type Move struct {
	ID    panel.StudyID
	Title string
	Lines []byte // what [panel.Service.WriteWhole] wrote there

	made Publication // what was said beside it, and when the package was made
	at   time.Time
	sums map[string]string // SHA-256 by file
}

// Moving reads the package of a closed study, a ZIP file or its folder, that is to be taken
// whole. All files have to be as they were packed, and study and plan those that were locked.
// Errors: [*PackageError].
func Moving(files fs.FS) (Move, error) {
	p := received{archive: files}
	if err := p.readSums(); err != nil {
		return Move{}, err
	}
	if err := p.allWhole(); err != nil {
		return Move{}, err
	}
	text, err := p.whole("study.yaml")
	if err != nil {
		return Move{}, err
	}
	s, problems := study.Parse("study.yaml", text)
	if len(problems) > 0 {
		return Move{}, &PackageError{study.Say("study.yaml in the package cannot be read: %s", problems[0].What),
			packAgain}
	}
	registered, _, err := p.registered(s)
	if err != nil {
		return Move{}, err
	}
	plan, err := p.whole(servingPlan)
	if err != nil {
		return Move{}, err
	}
	if sum := sha256.Sum256(plan); hex.EncodeToString(sum[:]) != registered.PlanHash {
		return Move{}, &PackageError{study.Say("%s is not the plan that was locked", servingPlan), packAgain}
	}
	m := Move{ID: panel.StudyID(registered.ID), Title: registered.Title, sums: p.sums}
	if m.Lines, err = p.whole(wholeStudy); err != nil {
		return Move{}, err
	}
	m.made.Ethics, m.made.Registered = registered.Ethics, registered.Registered
	return m, p.described(&m)
}

// packAgain is what to do about a package that is not whole.
var packAgain = study.Say("export it again on the service that it comes from, and take that file as it is")

// allWhole holds every file to its sum, and that there are no others.
func (p received) allWhole() error {
	entries, err := fs.ReadDir(p.archive, ".")
	if err != nil {
		return &PackageError{study.Say("the package cannot be read: %s", err), packAgain}
	}
	for _, e := range entries {
		if _, listed := p.sums[e.Name()]; !listed && e.Name() != "SHA256SUMS" {
			return &PackageError{study.Say("%s is in the package, and not in its SHA256SUMS", e.Name()), packAgain}
		}
	}
	for name := range p.sums {
		if _, err := p.whole(name); err != nil {
			return err
		}
	}
	return nil
}

// described reads what the package says of itself.
func (p received) described(m *Move) error {
	text, err := p.whole("datapackage.json")
	if err != nil {
		return err
	}
	var said packageJSON
	if err = json.Unmarshal(text, &said); err == nil {
		m.at, err = time.Parse(time.RFC3339, said.Created)
	}
	if err != nil {
		return &PackageError{study.Say("datapackage.json in the package cannot be read: %s", err), packAgain}
	}
	for _, l := range said.Licenses {
		m.made.Licence = l.Name
	}
	for _, a := range said.Contributors {
		m.made.Authors = append(m.made.Authors, a.Title)
	}
	return nil
}

// Again makes the package of a study that was taken, as it was made where it comes from, and
// names the files that come out otherwise: apart those that hold what was recorded, which may
// not, and those that another release words or reckons otherwise. same counts the others.
func (m Move) Again(d Data) (same int, record, worded []string, err error) {
	d.At, d.Publication = m.at, m.made
	seen := map[string]bool{}
	differs := func(name string) {
		if ofTheRecord(name) {
			record = append(record, name)
			return
		}
		worded = append(worded, name)
	}
	err = Write(d, func(f File) error {
		seen[f.Name] = true
		sum := sha256.Sum256(f.Bytes)
		switch {
		case f.Name == "SHA256SUMS", f.Name == "datapackage.json": // of all others
		case hex.EncodeToString(sum[:]) == m.sums[f.Name]:
			same++
		default:
			differs(f.Name)
		}
		return nil
	})
	if err != nil {
		return 0, nil, nil, fmt.Errorf("make the package anew: %w", err)
	}
	for name := range m.sums {
		if !seen[name] {
			differs(name)
		}
	}
	slices.Sort(record)
	slices.Sort(worded)
	return same, record, worded, nil
}

// reckoned are the tables that are worked out from the record.
var reckoned = []string{"findings.csv", "numbers.csv", "rechecks.csv", "codebook.csv", "deviations.csv", "flow.csv"}

// ofTheRecord reports whether a file holds what was recorded, or what was locked.
func ofTheRecord(name string) bool {
	switch {
	case slices.Contains(reckoned, name):
		return false
	case strings.HasSuffix(name, ".csv"), strings.HasPrefix(name, "photo-"), strings.HasPrefix(name, "time-stamp."):
		return true
	}
	return slices.Contains([]string{"study.yaml", "study.json", servingPlan, wholeStudy, lockedSums,
		"registration.json"}, name)
}
