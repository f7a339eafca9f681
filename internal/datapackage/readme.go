package datapackage

import (
	"bytes"
	"fmt"
	"strings"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// readme says in plain words what the package holds. Lines end where a reader
// without wrapping wants them to.
func (d Data) readme(tables []table) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n%s\n\n", d.Study.Spec.Title, strings.Repeat("=", len([]rune(d.Study.Spec.Title))))
	fmt.Fprintf(&b, "%s\n\n", d.about())
	fmt.Fprintf(&b, "Locked      %s, before the first rating\nClosed      %s\nStudy hash  %s\nPlan hash   %s\n"+
		"Seed        %d\n",
		instant(d.Study.Lock.At), instant(d.Study.ClosedAt), d.Study.Lock.StudyHash, d.Study.Lock.PlanHash,
		d.Study.Lock.Seed)
	if c := d.Study.Countersigned; !c.At.IsZero() {
		fmt.Fprintf(&b, "Signed      %s, by %s, before the first rating\n", instant(c.At), c.Name)
	}
	fmt.Fprintf(&b, "Package of  %s\n%s\n", instant(d.At), d.Publication.readmeLines())
	d.versions(&b)
	b.WriteString("Study hash and plan hash are the SHA-256 of study.json and serving-plan.txt: what was asked,\n" +
		"what will be tested and who gets what were fixed with them. Check them and all other files with\n\n    " +
		"sha256sum -c SHA256SUMS\n\n")
	b.WriteString(d.dealtNote())
	if got := study.Hash(d.Study.Spec); got != d.Study.Lock.StudyHash {
		fmt.Fprintf(&b, "NOTE: study.json has another hash, %s: the canonical form has changed since the study\n"+
			"was locked. study.yaml is the file as it was locked.\n\n", got)
	}
	b.WriteString("Files\n-----\n\n")
	line := func(name, says string) { fmt.Fprintf(&b, "%-20s %s\n", name, says) }
	for _, t := range append(tables, codebookOf(tables)) {
		line(t.name+".csv", fmt.Sprintf("%s (%d rows)", t.title, len(t.rows)))
	}
	line(workbookName, kindsOfFiles[workbookName][0])
	for _, name := range []string{"study.yaml", "study.json", "plan.txt", servingPlan, "CITATION.cff",
		"registration.json"} {
		line(name, kindsOfFiles[name][0])
	}
	if d.Findings != nil {
		for _, name := range []string{"report.html", "findings.json", "findings.schema.json", "analysis.R",
			"analysis.py"} {
			line(name, kindsOfFiles[name][0])
		}
		if d.drawsAgain() {
			line(redrawsFile, kindsOfFiles[redrawsFile][0])
		}
		if len(d.Report.Methods) > 0 {
			line("methods.txt", kindsOfFiles["methods.txt"][0])
		}
	} else {
		b.WriteString("There are no findings: nobody had rated a serving when the study was closed, or all answers " +
			"were deleted.\n")
	}
	for _, p := range d.Photos {
		line("photo-"+string(p.Dish)+".jpg", "Photo of dish "+string(p.Dish))
	}
	if d.Whole != nil {
		line(wholeStudy, kindsOfFiles[wholeStudy][0])
	}
	for _, f := range stampFiles(d.Study, d.Stamp) {
		line(f.Name, kindsOfFiles[f.Name][0])
	}
	line("datapackage.json", "The same description for programs (Data Package, version 1)")
	b.WriteString(conventions)
	if asked := d.Study.Spec.Attributes; len(asked) > 0 {
		fmt.Fprintf(&b, wideInR, asked[0].ID)
	}
	if d.Findings != nil {
		b.WriteString("\nThe numbers of the findings worked out in R, beside the report’s (lmerTest, pbkrtest and " +
			"ordinal where a model needs them):\n\n    Rscript analysis.R\n\n" +
			"The same in Python with numpy and scipy:\n\n    python3 analysis.py\n\n" +
			"What a script has no test for it lists.\n")
	}
	b.WriteString("\nAssessors have a number and no name. What they consented to is in study.yaml.\n")
	return b.Bytes()
}

// versions says how the plan was changed, when it was.
func (d Data) versions(b *bytes.Buffer) {
	if len(d.Versions) < 2 {
		return
	}
	fmt.Fprintf(b, "This is version %d. The versions of the study:\n\n", d.Study.Version)
	for _, v := range d.Versions {
		fmt.Fprintf(b, "  Version %d, %s", v.Number, v.State)
		if v.State != panel.Draft {
			fmt.Fprintf(b, " (locked %s)\n    study hash %s\n    plan hash  %s", instant(v.LockedAt), v.StudyHash,
				v.PlanHash)
		}
		if v.Number > 1 {
			fmt.Fprintf(b, "\n    started when version %d had %d servings rated, because: %s", v.Number-1,
				v.RatingsBefore, oneLine(v.Reason))
		}
		b.WriteString("\n\n")
	}
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

const conventions = `
How to read the tables
----------------------

One observation a row, one variable a column; codebook.csv explains each. Comma, UTF-8 without a
byte-order mark, decimal point, header in the first line. A missing value is an empty cell. Times
are ISO 8601 in UTC (Z). Samples, dishes, names and attributes stand by their ids; samples.csv,
attributes.csv and labels.csv give the words. An apostrophe before a text that begins like a formula
keeps spreadsheets from running it, and is no part of the text.

In R:

    ratings <- read.csv("ratings.csv", na.strings = "", colClasses = c(code = "character"))
`

// wideInR has one assessor a row and one sample a column.
const wideInR = `    wide    <- reshape(ratings[ratings$attribute == "%s", c("assessor", "sample", "value")],
                       idvar = "assessor", timevar = "sample", direction = "wide")
`
