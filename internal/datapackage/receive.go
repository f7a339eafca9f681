package datapackage

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"io/fs"
	"strings"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// mostReceived is the largest that one file of a package that is read here may be unpacked:
// the ratings of thousands of people.
const mostReceived = 32 << 20

// PackageError says what is wrong with a package, and what to do.
type PackageError struct{ What, Instead study.Said }

func (e *PackageError) Error() string { return e.What.String() + "; " + e.Instead.String() }

// fromTheOther is what to do about a package that is not whole.
var fromTheOther = study.Say("ask the other house to download it again, and choose that file as it is")

// Receive reads the data package of a study that another service closed, and finds its
// differences anew from its ratings: no number that it states is taken. The study has to be
// the one that was locked, by its hash, and what is read has to be what was packed, by its
// sums. Errors: [*PackageError].
func Receive(file []byte) (panel.JoinedStudy, error) {
	archive, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return panel.JoinedStudy{}, &PackageError{study.Say("this is no data package (a ZIP file)"),
			study.Say("choose the data package (ZIP) of the closed study")}
	}
	p := received{archive: archive}
	if err := p.readSums(); err != nil {
		return panel.JoinedStudy{}, err
	}
	return p.joined()
}

// received is a package that is being read.
type received struct {
	archive fs.FS
	sums    map[string]string // SHA-256 by file
}

// file reads a file of the package; nil when it has none of that name.
func (p received) file(name string) ([]byte, error) {
	f, err := p.archive.Open(name)
	if err != nil {
		return nil, nil
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, mostReceived+1))
	if err != nil || len(b) > mostReceived {
		return nil, &PackageError{study.Say("%s in the package is damaged or larger than any study", name),
			fromTheOther}
	}
	return b, nil
}

func (p *received) readSums() error {
	text, err := p.file("SHA256SUMS")
	if err != nil {
		return err
	}
	p.sums = map[string]string{}
	for line := range strings.Lines(string(text)) {
		if sum, name, ok := strings.Cut(strings.TrimSpace(line), "  "); ok {
			p.sums[name] = sum
		}
	}
	return nil
}

// whole reads a file that is as it was packed.
func (p received) whole(name string) ([]byte, error) {
	b, err := p.file(name)
	if err != nil {
		return nil, err
	}
	if b == nil {
		return nil, &PackageError{study.Say("the package has no %s: it is not the package of a closed study", name),
			study.Say("close the study there first, and download its data then")}
	}
	if sum := sha256.Sum256(b); p.sums[name] != hex.EncodeToString(sum[:]) {
		return nil, &PackageError{study.Say("%s is not as it was when the package was made", name), fromTheOther}
	}
	return b, nil
}

func (p received) joined() (panel.JoinedStudy, error) {
	var none panel.JoinedStudy
	text, err := p.whole("study.yaml")
	if err != nil {
		return none, err
	}
	s, problems := study.Parse("study.yaml", text)
	if len(problems) > 0 {
		return none, &PackageError{study.Say("study.yaml in the package cannot be read: %s", problems[0].What),
			fromTheOther}
	}
	registered, closed, err := p.registered(s)
	if err != nil {
		return none, err
	}
	ratings, found, err := p.foundDifferences(s)
	if err != nil {
		return none, err
	}
	sum := sha256.Sum256(append([]byte(registered.StudyHash+registered.PlanHash), ratings...))
	return panel.JoinedStudy{ID: panel.JoinedID(hex.EncodeToString(sum[:])), Origin: panel.StudyID(registered.ID),
		ClosedAt: closed, Found: found}, nil
}

// registered reads what was fixed before the first rating.
func (p received) registered(s *study.Study) (r registeredJSON, closed time.Time, err error) {
	text, err := p.whole("registration.json")
	if err != nil {
		return r, closed, err
	}
	if err := json.Unmarshal(text, &r); err != nil || r.StudyHash != study.Hash(s) {
		return r, closed, &PackageError{study.Say("study.yaml is not the study that was locked"), fromTheOther}
	}
	if closed, err = time.Parse(time.RFC3339, r.ClosedAt); err != nil {
		return r, closed, &PackageError{study.Say("the package does not say when the study was closed"), fromTheOther}
	}
	return r, closed, nil
}

// foundDifferences are those of the ratings, with the file that these are in.
func (p received) foundDifferences(s *study.Study) ([]byte, []analysis.FoundDifference, error) {
	text, err := p.whole("ratings.csv")
	if err != nil {
		return nil, nil, err
	}
	ratings, problems := analysis.ReadCSV("ratings.csv", bytes.NewReader(text), s, nil)
	if len(problems) > 0 {
		return nil, nil, &PackageError{study.Say("%s in the package: %s", "ratings.csv", problems[0].What),
			fromTheOther}
	}
	var said []analysis.Screened
	if b, err := p.file("screening.csv"); err != nil {
		return nil, nil, err
	} else if b != nil {
		if b, err = p.whole("screening.csv"); err != nil {
			return nil, nil, err
		}
		if said, problems = analysis.ReadScreeningCSV("screening.csv", bytes.NewReader(b), s); len(problems) > 0 {
			return nil, nil, &PackageError{study.Say("%s in the package: %s", "screening.csv", problems[0].What),
				fromTheOther}
		}
	}
	found, err := analysis.FoundDifferences(s, ratings, said)
	if err != nil {
		return nil, nil, &PackageError{study.Say("the ratings cannot be analysed: %s", err), fromTheOther}
	}
	if len(found) == 0 {
		return nil, nil, &PackageError{study.Say("the study compares no two samples that the same people rated"),
			study.Say("only such studies stand in the record")}
	}
	return text, found, nil
}
