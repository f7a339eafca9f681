package datapackage

import (
	"bytes"
	"cloche/internal/panel"
	"encoding/json"
	"fmt"
	"strings"
)

// The description as the specifications name its members.
type packageJSON struct {
	Profile     string        `json:"profile"`
	Name        string        `json:"name"`
	ID          panel.StudyID `json:"id"`
	Title       string        `json:"title"`
	Description string        `json:"description"`
	Created     string        `json:"created"`
	// Only what somebody said: an empty list would not be valid.
	Licenses     []licenceJSON     `json:"licenses,omitempty"`
	Contributors []contributorJSON `json:"contributors,omitempty"`
	Resources    []resourceJSON    `json:"resources"`
}

type licenceJSON struct {
	Name  string `json:"name"`
	Path  string `json:"path"`
	Title string `json:"title"`
}

type contributorJSON struct {
	Title string `json:"title"`
	Role  string `json:"role"`
}

type resourceJSON struct {
	Profile   string       `json:"profile"`
	Name      string       `json:"name"`
	Path      string       `json:"path"`
	Title     string       `json:"title"`
	Format    string       `json:"format"`
	MediaType string       `json:"mediatype"`
	Encoding  string       `json:"encoding,omitempty"`
	Bytes     int          `json:"bytes"`
	Hash      string       `json:"hash"`
	Dialect   *dialectJSON `json:"dialect,omitempty"`
	Schema    *schemaJSON  `json:"schema,omitempty"`
}

type dialectJSON struct {
	Version     float64 `json:"csvddfVersion"`
	Delimiter   string  `json:"delimiter"`
	LineEnd     string  `json:"lineTerminator"`
	Quote       string  `json:"quoteChar"`
	DoubleQuote bool    `json:"doubleQuote"`
	Header      bool    `json:"header"`
}

type schemaJSON struct {
	Fields        []fieldJSON `json:"fields"`
	MissingValues []string    `json:"missingValues"`
	PrimaryKey    []string    `json:"primaryKey"`
	ForeignKeys   []referJSON `json:"foreignKeys,omitempty"`
}

type fieldJSON struct {
	Name        string         `json:"name"`
	Type        string         `json:"type"`
	Description string         `json:"description"`
	Unit        string         `json:"unit,omitempty"` // ours: the specification lets fields have more members
	Constraints map[string]any `json:"constraints,omitempty"`
}

type referJSON struct {
	Fields    string `json:"fields"`
	Reference struct {
		Resource string `json:"resource"`
		Fields   string `json:"fields"`
	} `json:"reference"`
}

// kindsOfFiles are title, format and media type of the files that are no tables.
var kindsOfFiles = map[string][3]string{
	"README.txt": {"What this is and how to read it", "txt", "text/plain"},
	"study.yaml": {"Study file as it was written", "yaml", "application/yaml"},
	"study.json": {"Canonical form of the study; its SHA-256 was fixed when it was locked", "json",
		"application/json"},
	"plan.txt": {"The plan in words, as it was fixed before the first rating", "txt", "text/plain"},
	servingPlan: {"Canonical form of the serving plan; its SHA-256 was fixed when it was locked", "txt",
		"text/plain"},
	"CITATION.cff": {"How to cite the data (Citation File Format 1.2.0)", "cff", "application/yaml"},
	"registration.json": {"What was fixed before the first rating, with its hashes, for a register", "json",
		"application/json"},
	"findings.json": {"Findings of the planned analysis", "json", "application/json"},
	"findings.schema.json": {"JSON Schema of findings.json: every field that it may have", "json",
		"application/schema+json"},
	"analysis.R": {"Recomputes the findings in R from these tables, beside the report’s numbers: " +
		"Rscript analysis.R", "R",
		"text/x-r-source"},
	wholeStudy: {"All that the service keeps of the study, for “cloche receive” on another; without links and " +
		"without where guests sat", "jsonl", "application/jsonl"},
	lockedSums: {"SHA-256 of study.json and serving-plan.txt, as they were locked: what was stamped", "sha256",
		"text/plain"},
	stampRequest: {"Request for the time stamp (RFC 3161)", "tsq", "application/timestamp-query"},
	stampAnswer: {"Answer of the outside authority: the time stamp (RFC 3161)", "tsr",
		"application/timestamp-reply"},
	"analysis.py": {"Recomputes the findings in Python with numpy and scipy, beside the report’s numbers: " +
		"python3 analysis.py", "py", "text/x-python"},
	redrawsFile: {"Draws of the plan’s lottery anew: the rated servings (assessor:position), then a line of their " +
		"samples for each draw", "txt", "text/plain"},
	"methods.txt": {"What was done, as a paragraph for a paper", "txt", "text/plain"},
	workbookName: {"The same tables as sheets of a workbook, the codebook first", "xlsx",
		"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"},
	"report.html": {"The report with its figures, as one page that needs no network", "html", "text/html"},
}

// describe writes datapackage.json.
func (d Data) describe(tables []table, files []madeFile) ([]byte, error) {
	p := packageJSON{
		Profile: "data-package", Name: "tasting-" + strings.ToLower(d.Study.Lock.PlanHash[:12]), ID: d.Study.ID,
		Title: d.Study.Spec.Title, Description: d.about(), Created: instant(d.At),
	}
	if l, ok := d.licence(); ok {
		p.Licenses = []licenceJSON{{l.ID, l.Path, l.Title}}
	}
	for _, a := range d.Authors {
		p.Contributors = append(p.Contributors, contributorJSON{a, "author"})
	}
	for _, f := range files {
		r := resourceJSON{Profile: "data-resource", Path: f.name, Encoding: "utf-8", Bytes: f.bytes,
			Name: strings.ToLower(strings.ReplaceAll(f.name, ".", "-")),
			Hash: fmt.Sprintf("sha256:%x", f.sum)}
		if kind, known := kindsOfFiles[f.name]; known {
			r.Title, r.Format, r.MediaType = kind[0], kind[1], kind[2]
		}
		if f.name == workbookName || f.name == stampRequest || f.name == stampAnswer {
			r.Encoding = ""
		}
		if strings.HasSuffix(f.name, ".jpg") {
			r.Title, r.Format, r.MediaType, r.Encoding = "Photo of a dish", "jpg", "image/jpeg", ""
		}
		for _, t := range tables {
			if t.name+".csv" == f.name {
				r.describeTable(t)
			}
		}
		p.Resources = append(p.Resources, r)
	}
	var b bytes.Buffer
	out := json.NewEncoder(&b)
	out.SetEscapeHTML(false)
	out.SetIndent("", "  ")
	if err := out.Encode(p); err != nil {
		return nil, fmt.Errorf("describe the package: %w", err)
	}
	return b.Bytes(), nil
}

func (r *resourceJSON) describeTable(t table) {
	r.Profile, r.Name, r.Title, r.Format, r.MediaType = "tabular-data-resource", t.name, t.title, "csv", "text/csv"
	r.Dialect = &dialectJSON{Version: 1.2, Delimiter: ",", LineEnd: "\n", Quote: `"`, DoubleQuote: true, Header: true}
	r.Schema = &schemaJSON{MissingValues: []string{""}, PrimaryKey: t.key}
	for _, f := range t.fields {
		x := fieldJSON{Name: f.name, Type: f.kind, Description: f.says, Unit: f.unit, Constraints: map[string]any{}}
		if f.required {
			x.Constraints["required"] = true
		}
		if f.pattern != "" {
			x.Constraints["pattern"] = f.pattern
		}
		r.Schema.Fields = append(r.Schema.Fields, x)
	}
	for _, to := range t.refers {
		x := referJSON{Fields: to.field}
		x.Reference.Resource, x.Reference.Fields = to.table, to.to
		r.Schema.ForeignKeys = append(r.Schema.ForeignKeys, x)
	}
}

// about is the package in a sentence or two.
func (d Data) about() string {
	s := "Ratings of a blind tasting with its study, serving plan, key, findings and log."
	if d.Study.Spec.Invented {
		s += " The ratings are invented."
	}
	return s
}
