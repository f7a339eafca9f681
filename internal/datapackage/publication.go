package datapackage

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
)

// Publication is what only whoever publishes a package can say of it. The zero value says
// nothing: no licence, so that nobody may use the data without asking.
type Publication struct {
	Authors    []string // as they want to be named
	Licence    string   // SPDX identifier, one of [Licences]; "" = none
	Ethics     string   // who approved of the study, under which number
	Registered string   // where the plan was registered: an address or a number
}

// Licence is a licence that data can be published under.
type Licence struct{ ID, Title, Path string }

// Licences are those to choose from.
var Licences = []Licence{
	{"CC-BY-4.0", "Creative Commons Attribution 4.0", "https://creativecommons.org/licenses/by/4.0/"},
	{"CC-BY-SA-4.0", "Creative Commons Attribution-ShareAlike 4.0", "https://creativecommons.org/licenses/by-sa/4.0/"},
	{"CC0-1.0", "Creative Commons Zero 1.0: no rights reserved", "https://creativecommons.org/publicdomain/zero/1.0/"},
}

// ErrLicence says that a licence is none of [Licences].
var ErrLicence = errors.New("unknown licence")

// longestLine bounds what is said in a line, in characters.
const longestLine = 200

// Tidied has every text in one line of bearable length, and no author who is nobody.
// [ErrLicence] when the licence is unknown.
func (p Publication) Tidied() (Publication, error) {
	_, known := p.licence()
	if p.Licence != "" && !known {
		return p, fmt.Errorf("%w %q", ErrLicence, p.Licence)
	}
	authors := make([]string, 0, len(p.Authors))
	for _, a := range p.Authors {
		if a = oneShort(a); a != "" {
			authors = append(authors, a)
		}
	}
	p.Authors, p.Ethics, p.Registered = authors, oneShort(p.Ethics), oneShort(p.Registered)
	return p, nil
}

func oneShort(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	said := []rune(oneLine(s))
	return string(said[:min(len(said), longestLine)])
}

func (p Publication) licence() (Licence, bool) {
	i := slices.IndexFunc(Licences, func(l Licence) bool { return l.ID == p.Licence })
	if i < 0 {
		return Licence{}, false
	}
	return Licences[i], true
}

// citation says how to cite the package (Citation File Format 1.2.0).
func (d Data) citation() []byte {
	var b bytes.Buffer
	line := func(key, value string) { fmt.Fprintf(&b, "%s: %s\n", key, quotedYAML(value)) }
	b.WriteString("cff-version: 1.2.0\ntype: dataset\n")
	line("message", "If you use these data, please cite them like this.")
	line("title", d.Study.Spec.Title)
	line("abstract", d.about())
	b.WriteString("authors:\n")
	for _, a := range d.authors() {
		fmt.Fprintf(&b, "  - name: %s\n", quotedYAML(a))
	}
	line("version", fmt.Sprint(d.Study.Version))
	line("date-released", d.At.In(d.Study.Zone()).Format(time.DateOnly))
	if d.Publication.Licence != "" {
		line("license", d.Publication.Licence)
	}
	fmt.Fprintf(&b, "identifiers:\n  - type: other\n    value: %s\n    description: %s\n",
		quotedYAML("sha256:"+d.Study.Lock.PlanHash),
		quotedYAML("SHA-256 of the serving plan, fixed before the first rating"))
	return b.Bytes()
}

// authors are those to name: the format asks for one at least.
func (d Data) authors() []string {
	if len(d.Publication.Authors) == 0 {
		return []string{"The lead of the study"}
	}
	return d.Publication.Authors
}

// quotedYAML is a text between double quotes, which YAML reads as JSON does.
func quotedYAML(s string) string {
	quoted, err := json.Marshal(s)
	if err != nil { // a string never fails
		return `""`
	}
	return string(quoted)
}

// registeredJSON is the record of what was fixed before the first rating.
type registeredJSON struct {
	ID         string      `json:"study"`
	Title      string      `json:"title"`
	Version    int         `json:"version"`
	LockedAt   string      `json:"locked_at"`
	StudyHash  string      `json:"study_sha256"`
	PlanHash   string      `json:"plan_sha256"`
	Seed       string      `json:"seed"` // as text: numbers of JSON end at 2^53
	Signed     *signedJSON `json:"countersigned,omitempty"`
	ClosedAt   string      `json:"closed_at"`
	Registered string      `json:"registered,omitempty"`
	Ethics     string      `json:"ethics_approval,omitempty"`
}

type signedJSON struct {
	Name string `json:"name"`
	At   string `json:"at"`
}

// registration is the record of what was fixed before the first rating, for a register.
func (d Data) registration() ([]byte, error) {
	record := registeredJSON{ID: string(d.Study.ID), Title: d.Study.Spec.Title, Version: d.Study.Version,
		LockedAt: instant(d.Study.Lock.At), StudyHash: d.Study.Lock.StudyHash, PlanHash: d.Study.Lock.PlanHash,
		Seed: fmt.Sprint(d.Study.Lock.Seed), ClosedAt: instant(d.Study.ClosedAt), Registered: d.Publication.Registered,
		Ethics: d.Publication.Ethics}
	if c := d.Study.Countersigned; !c.At.IsZero() {
		record.Signed = &signedJSON{c.Name, instant(c.At)}
	}
	out, err := json.MarshalIndent(record, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write the registration record: %w", err)
	}
	return append(out, '\n'), nil
}

// readmeLines is the publication in lines of the readme; nothing where nothing was said.
func (p Publication) readmeLines() string {
	var b strings.Builder
	line := func(key, value string) {
		if value != "" {
			fmt.Fprintf(&b, "%-11s %s\n", key, value)
		}
	}
	line("By", strings.Join(p.Authors, ", "))
	if l, ok := p.licence(); ok {
		line("Licence", l.ID+", "+l.Title+": "+l.Path)
	} else {
		line("Licence", "none: ask before you use the data")
	}
	line("Ethics", p.Ethics)
	line("Registered", p.Registered)
	return b.String()
}
