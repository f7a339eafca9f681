package datapackage

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/study"
	"cloche/studies"
)

// expecting is a closed study whose names were read before tasting; what was
// expected is invented.
func expecting(t *testing.T) Data {
	t.Helper()
	d := ran(t, strings.Replace(string(studies.CeleriacCustard), "serving:\n", "serving:\n  expectation: true\n", 1))
	var list []analysis.Expectation
	for _, x := range d.Turns {
		if x.Role != design.Expected {
			continue
		}
		for i, a := range d.Study.Spec.Attributes {
			value := a.Scale.Min() + float64((x.Place*7+x.Order*3+i)%4)
			d.Answers = append(d.Answers, panel.KeyedAnswer{Place: x.Place, Turn: x.Order + 1, Role: x.Role,
				Name: x.Name, Attribute: a.ID, Value: value, At: night})
			list = append(list, analysis.Expectation{Assessor: fmt.Sprint(x.Place + 1), Name: x.Name, Attribute: a.ID,
				Value: value})
		}
	}
	if len(list) == 0 {
		t.Fatal("no name is read")
	}
	var kept []analysis.Rating
	for _, r := range d.Answers {
		if r.Role == design.Rated {
			kept = append(kept, analysis.Rating{Assessor: fmt.Sprint(r.Place + 1), Position: r.Position, Code: r.Code,
				Sample: r.Sample, Attribute: r.Attribute, Value: r.Value})
		}
	}
	var err error
	d.Findings, err = analysis.Analyse(d.Study.Spec, kept, analysis.Options{PlanHash: d.Plan.Hash(), Expected: list})
	must(t, err)
	return d
}

func TestExpectedTable(t *testing.T) {
	d := expecting(t)
	d.Replaced = []panel.Replaced{{TurnID: "0-0", At: night, ReplacedAt: night,
		Answers: []panel.Answer{{Attribute: "saltiness", Value: 12.5}}}}
	files := filesOf(t, d)
	checkDescribed(t, files)
	rows, err := csv.NewReader(bytes.NewReader(files["expected.csv"])).ReadAll()
	must(t, err)
	if want := "assessor,name,attribute,value,rated_at,entered_by"; strings.Join(rows[0], ",") != want {
		t.Errorf("columns %v, want %s", rows[0], want)
	}
	assessors, attributes, names := d.Plan.Assessors, len(d.Study.Spec.Attributes), len(d.Study.Spec.Names)
	if len(rows)-1 != assessors*attributes*names {
		t.Errorf("%d rows for %d assessors, %d names and %d attributes", len(rows)-1, assessors, names, attributes)
	}
	if files["warm-ups.csv"] != nil {
		t.Error("what was expected stands among the warm-ups")
	}
	key, err := csv.NewReader(bytes.NewReader(files["key.csv"])).ReadAll()
	must(t, err)
	if len(key)-1 != assessors*len(d.Study.Spec.Samples) {
		t.Errorf("the key has %d rows, want one a plate", len(key)-1)
	}
	if !strings.Contains(string(files["codebook.csv"]),
		"expected.csv,name,string,Id of the name that was read,,,,"+
			"brulee | royale,0,true,Id of the name that was read.") {
		t.Error("the codebook does not explain expected.csv")
	}
	if !strings.Contains(string(files["replaced.csv"]), ",,"+string(d.Turns[0].Name)+",saltiness,12.5,") {
		t.Errorf("what was corrected does not say of which name: %s", files["replaced.csv"])
	}
}

// TestExpectedFollowsFromThePackage analyses the package's own files again.
func TestExpectedFollowsFromThePackage(t *testing.T) {
	files := filesOf(t, expecting(t))
	asked, problems := study.Parse("study.yaml", files["study.yaml"])
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	key, problems := analysis.ReadKey("key.csv", bytes.NewReader(files["key.csv"]), asked)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	ratings, problems := analysis.ReadCSV("ratings.csv", bytes.NewReader(files["ratings.csv"]), asked, key)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	list, problems := analysis.ReadExpectedCSV("expected.csv", bytes.NewReader(files["expected.csv"]), asked, key)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	found, err := analysis.Analyse(asked, ratings, analysis.Options{Expected: list})
	must(t, err)
	found.PlanHash, found.Warnings = "", nil
	var again bytes.Buffer
	must(t, report.WriteJSON(&again, asked, found))
	_, mine, _ := strings.Cut(again.String(), `"expected": [`)
	_, theirs, ok := strings.Cut(string(files["findings.json"]), `"expected": [`)
	mine, _, _ = strings.Cut(mine, "\n  ],")
	theirs, _, _ = strings.Cut(theirs, "\n  ],")
	if !ok || mine != theirs {
		t.Error("what is found of the package's files is not what the package has")
	}
}
