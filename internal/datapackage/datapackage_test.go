package datapackage

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/study"
	"cloche/studies"
)

var night = time.Date(2026, 11, 20, 22, 30, 0, 123456000, time.UTC)

// custard is the invented study as it stands when it was run and closed.
func custard(t *testing.T) Data {
	t.Helper()
	return ran(t, string(studies.CeleriacCustard))
}

// ran draws the plan of a study file and lets the invented panel taste.
func ran(t *testing.T, file string) Data {
	t.Helper()
	return closed(t, file, func(asked *study.Study, plan *design.Plan) []analysis.Rating {
		return analysis.Simulate(asked, plan, analysis.CustardTruth(), analysis.CustardSeed)
	})
}

// closed draws the plan of a study file, has it answered, and closes it.
func closed(t testing.TB, file string, answer func(*study.Study, *design.Plan) []analysis.Rating) Data {
	t.Helper()
	asked, problems := study.Parse("study.yaml", []byte(file))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	plan, err := design.Draw(asked, design.Options{Seed: asked.Serving.Seed, Levels: levelsOf(asked)})
	must(t, err)
	ratings := answer(asked, plan)
	o := analysis.Options{PlanHash: plan.Hash()}
	if asked.Plan.Test == study.Lottery {
		o.Lottery = &analysis.Lottery{Plan: plan}
	}
	found, err := analysis.Analyse(asked, ratings, o)
	must(t, err)
	d := Data{Plan: plan, Findings: found, At: night.Add(time.Hour), Sheet: []byte("The plan\n"), Study: panel.Study{
		ID: "abc", File: file, Spec: asked, State: panel.Closed, ClosedAt: night,
		Lock: panel.Lock{At: night.Add(-5 * time.Hour), Seed: plan.Seed, Engine: plan.Engine,
			StudyHash: study.Hash(asked), PlanHash: plan.Hash()}}}
	d.Turns, d.Dealt = turnsOf(asked, plan), dealtBefore(asked, plan)
	turns := map[string]int{} // by assessor and code
	for _, x := range d.Turns {
		for _, v := range x.Servings {
			turns[fmt.Sprint(x.Place+1, " ", v.Code)] = x.Order + 1
		}
	}
	for _, r := range ratings {
		place, err := strconv.Atoi(r.Assessor)
		must(t, err)
		turn := turns[fmt.Sprint(r.Assessor, " ", r.Code)]
		if turn == 0 {
			turn = r.Turn // answered about another plan, or about several servings at once
		}
		d.Answers = append(d.Answers, panel.KeyedAnswer{Place: place - 1, Turn: turn,
			Position: r.Position, Code: r.Code, Sample: r.Sample,
			Reference: r.Reference, Sitting: r.Sitting,
			Attribute: r.Attribute, Value: r.Value, At: night.Add(-time.Hour)})
	}
	d.Events = []panel.Event{
		{At: night.Add(-5 * time.Hour), Who: "lead", What: "locked", Detail: "plan " + plan.Hash()},
		{At: night, Who: "lead", What: "closed"},
	}
	return d
}

// turnsOf are the turns of a plan, with ids of place and order.
func turnsOf(asked *study.Study, plan *design.Plan) (all []panel.Turn) {
	for place := range plan.Assessors {
		order := 0
		for planned := range plan.Turns(place) {
			x := panel.Turn{ID: panel.TurnID(fmt.Sprintf("%d-%d", place, order)), Place: place, Order: order,
				Sitting: int(planned.Sitting), Role: planned.Role, Response: asked.Question.Response()}
			for i, v := range planned.Servings {
				if v.Role == design.Expected {
					sample, _ := asked.Sample(plan.Samples[v.Sample])
					x.Name = sample.Name
					continue
				}
				x.Servings = append(x.Servings, panel.Serving{ID: panel.ServingID(x.ID), TurnID: x.ID, Order: i,
					Role: v.Role, Position: int(v.Position),
					Sample: plan.Samples[v.Sample], Code: v.Code})
			}
			all = append(all, x)
			order++
		}
	}
	return all
}

// Files are those of a package, held.
func Files(d Data) (files []File, err error) {
	err = Write(d, func(f File) error {
		files = append(files, f)
		return nil
	})
	return files, err
}

// zipped packs files.
func zipped(at time.Time, files ...File) ([]byte, error) {
	var b bytes.Buffer
	err := Zip(&b, at, func(put func(File) error) error {
		for _, f := range files {
			if err := put(f); err != nil {
				return err
			}
		}
		return nil
	})
	return b.Bytes(), err
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func filesOf(t testing.TB, d Data) map[string][]byte {
	t.Helper()
	files, err := Files(d)
	must(t, err)
	byName := map[string][]byte{}
	for _, f := range files {
		byName[f.Name] = f.Bytes
	}
	return byName
}

// described is datapackage.json as a stranger's program reads it.
type described struct {
	Profile, Name, Title, Created string
	Resources                     []struct {
		Name, Path, Profile, Encoding, Hash string
		Bytes                               int
		Schema                              *struct {
			Fields []struct {
				Name, Type  string
				Constraints struct {
					Required bool
					Pattern  string
				}
			}
			MissingValues, PrimaryKey []string
			ForeignKeys               []struct {
				Fields    string
				Reference struct{ Resource, Fields string }
			}
		}
	}
}

// TestTablesAreAsDescribed reads every table by its description alone: columns,
// types, missing values, keys, sizes and sums. The library “datapackage” 1.1.10 for
// Node, by the authors of the specification, called the custard's package valid and
// read every table with its keys and relations.
func TestTablesAreAsDescribed(t *testing.T) {
	warm := strings.Replace(string(studies.CeleriacCustard), "serving:\n", "serving:\n  warm-up: A\n", 1)
	rotated := strings.Replace(string(studies.CeleriacCustard), "serving:\n", "serving:\n  attributes: rotated\n", 1)
	for name, d := range map[string]Data{"custard": custard(t), "a lively evening": lively(ran(t, warm)),
		"rotated questions": ran(t, rotated)} {
		t.Run(name, func(t *testing.T) { checkDescribed(t, filesOf(t, d)) })
	}
}

// lively adds all that can happen in the room.
func lively(d Data) Data {
	for _, x := range d.Turns {
		v := &x.Servings[0]
		v.ServedAt = night
		if v.Role != design.Rated {
			d.Answers = append(d.Answers, panel.KeyedAnswer{Place: x.Place, Turn: x.Order + 1, Role: v.Role,
				Code: v.Code, Sample: v.Sample, Attribute: "liking", Value: 5, At: night})
		}
	}
	d.Turns[1].Servings[0].RevealedAt, d.Turns[2].RefusedAt = night, night
	d.Answers[0].EnteredBy, d.Answers[0].Revealed = "floor 1", true
	d.Sittings = []panel.Sitting{{ID: "s1", Number: 1}}
	d.Report.Deviations = []report.Deviation{{What: "refused", N: 1, Of: 144, Unit: "turns", Text: "were not wanted"},
		{What: "stopping", N: 1, Unit: "plan", Text: "closed early"}}
	d.Comments = []panel.Comment{{Assessor: 1, Turn: 2, Position: 1, Code: "218", Sample: "A",
		Text: "=warm,\n\"and\" smooth"}}
	d.Replaced = []panel.Replaced{{TurnID: "0-1", At: night, ReplacedAt: night,
		Answers: []panel.Answer{{Attribute: "saltiness", Value: 12.5}, {Attribute: "liking", Value: 3}}}}
	d.Dropped = []panel.Dropped{{ServingID: "0-1", Code: "935", At: night}}
	d.Incidents = []panel.NotedIncident{{TurnID: d.Turns[1].ID, What: panel.Spilt, At: night, Who: "floor 1"}}
	d.Measured = []panel.Measured{{SittingID: "s1", Wave: 1, Dish: "custard", Celsius: 64.5, At: night,
		Who: "kitchen 1"}}
	return d
}

// TestRoomTables looks into the tables that only a lively evening has.
func TestRoomTables(t *testing.T) {
	warm := strings.Replace(string(studies.CeleriacCustard), "serving:\n", "serving:\n  warm-up: A\n", 1)
	files := filesOf(t, lively(ran(t, warm)))
	want := map[string]string{
		"comments.csv":     "1,1,2,1,218,A,\"'=warm,\n\"\"and\"\" smooth\",",
		"replaced.csv":     ",saltiness,12.5,2026-11-20T22:30:00Z,2026-11-20T22:30:00Z,",
		"deviations.csv":   "1,refused,1,144,turns,were not wanted\n2,stopping,1,,plan,closed early\n",
		"dropped.csv":      "1,1,2,1,935,2026-11-20T22:30:00Z",
		"incidents.csv":    ",spilt,2026-11-20T22:30:00Z,floor 1",
		"temperatures.csv": "1,1,1,custard,64.5,2026-11-20T22:30:00Z,kitchen 1",
		"warm-ups.csv":     ",liking,5,A,2026-11-20T22:30:00Z,,false",
		"ratings.csv":      ",floor 1,true",
	}
	for name, line := range want {
		if !strings.Contains(string(files[name]), line) {
			t.Errorf("%s has no line with %q:\n%.300s", name, line, files[name])
		}
	}
	for name := range filesOf(t, custard(t)) {
		if name == "comments.csv" || name == "warm-ups.csv" {
			t.Errorf("%s is there without rows", name)
		}
	}
}

func checkDescribed(t *testing.T, files map[string][]byte) {
	t.Helper()
	var p described
	must(t, json.Unmarshal(files["datapackage.json"], &p))
	if !regexp.MustCompile(`^[-a-z0-9._/]+$`).MatchString(p.Name) { // Data Package, "name"
		t.Errorf("name %q", p.Name)
	}
	if _, err := time.Parse(time.RFC3339, p.Created); err != nil {
		t.Errorf("created: %v", err)
	}
	columns := map[string]map[string][]string{} // resource → field → values
	for _, r := range p.Resources {
		body, found := files[r.Path]
		if !found || len(body) != r.Bytes || r.Hash != fmt.Sprintf("sha256:%x", sha256.Sum256(body)) {
			t.Errorf("%s is not as described", r.Path)
		}
		if !regexp.MustCompile(`^[-a-z0-9._]+$`).MatchString(r.Name) {
			t.Errorf("name of a resource %q", r.Name)
		}
		if (r.Schema != nil) != strings.HasSuffix(r.Path, ".csv") {
			t.Errorf("%s has a schema: %v", r.Path, r.Schema != nil)
		}
		if r.Schema == nil {
			continue
		}
		rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
		must(t, err)
		columns[r.Name] = map[string][]string{}
		for i, f := range r.Schema.Fields {
			if rows[0][i] != f.Name {
				t.Errorf("%s: column %d is %q, described as %q", r.Path, i+1, rows[0][i], f.Name)
			}
			for n, row := range rows[1:] {
				if row[i] == "" && !f.Constraints.Required {
					continue
				}
				if err := fits(row[i], f.Type); err != nil ||
					!regexp.MustCompile("^(?:"+f.Constraints.Pattern+")").MatchString(row[i]) {
					t.Errorf("%s, row %d: %s %q: %v", r.Path, n+1, f.Name, row[i], err)
				}
				columns[r.Name][f.Name] = append(columns[r.Name][f.Name], row[i])
			}
		}
		keys := map[string]bool{}
		for _, row := range rows[1:] {
			key := ""
			for i, f := range r.Schema.Fields {
				if slices.Contains(r.Schema.PrimaryKey, f.Name) {
					key += row[i] + "|"
				}
			}
			if keys[key] || key == "" {
				t.Errorf("%s: key %q stands twice or is none", r.Path, key)
			}
			keys[key] = true
		}
		if diff := cmp.Diff([]string{""}, r.Schema.MissingValues); diff != "" {
			t.Errorf("%s: missing values %s", r.Path, diff)
		}
	}
	for _, r := range p.Resources {
		if r.Schema == nil {
			continue
		}
		for _, k := range r.Schema.ForeignKeys {
			for _, value := range columns[r.Name][k.Fields] {
				if !slices.Contains(columns[k.Reference.Resource][k.Reference.Fields], value) {
					t.Errorf("%s: %s %q is not in %s", r.Path, k.Fields, value, k.Reference.Resource)
				}
			}
		}
	}
	if len(p.Resources) != len(files)-2 { // datapackage.json itself and the sums
		t.Errorf("%d files are described of %d", len(p.Resources), len(files))
	}
}

// fits parses a cell by the default format of its type.
func fits(cell, kind string) error {
	var err error
	switch kind {
	case whole:
		_, err = strconv.Atoi(cell)
	case number:
		_, err = strconv.ParseFloat(cell, 64)
	case yesNo:
		if cell != "true" && cell != "false" {
			err = errors.New("neither true nor false")
		}
	case datetime:
		_, err = time.Parse("2006-01-02T15:04:05Z", cell)
	case text:
		if cell == "" {
			err = errors.New("missing")
		}
	default:
		err = fmt.Errorf("type %q", kind)
	}
	return err
}

// TestFindingsFollowFromThePackage analyses what is in the package, and nothing
// else, and gets the findings that are in it.
func TestFindingsFollowFromThePackage(t *testing.T) {
	files := filesOf(t, custard(t))
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
	plan := fmt.Sprintf("%x", sha256.Sum256(files["serving-plan.txt"]))
	found, err := analysis.Analyse(asked, ratings, analysis.Options{PlanHash: plan})
	must(t, err)
	var again bytes.Buffer
	must(t, report.WriteJSON(&again, asked, found))
	if diff := cmp.Diff(string(files["findings.json"]), again.String()); diff != "" {
		t.Errorf("findings of the package (-) and from its files (+):\n%s", diff)
	}
}

func TestSums(t *testing.T) {
	d := custard(t)
	files := filesOf(t, d)
	for name, want := range map[string]string{"study.json": d.Study.Lock.StudyHash,
		"serving-plan.txt": d.Study.Lock.PlanHash} {
		if got := fmt.Sprintf("%x", sha256.Sum256(files[name])); got != want {
			t.Errorf("SHA-256 of %s is %s, locked was %s", name, got, want)
		}
		if !strings.Contains(string(files["README.txt"]), want) {
			t.Errorf("README.txt does not say %s", want)
		}
	}
	dir := t.TempDir()
	for name, text := range files {
		must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
	}
	check := exec.Command("sha256sum", "--strict", "-c", "SHA256SUMS")
	check.Dir = dir
	if out, err := check.CombinedOutput(); err != nil {
		t.Errorf("sha256sum -c: %v: %s", err, out)
	}
	if listed := strings.Count(string(files["SHA256SUMS"]), "\n"); listed != len(files)-1 {
		t.Errorf("%d files are listed of %d", listed, len(files)-1)
	}
}

// TestFormulas plants texts that a spreadsheet would run.
func TestFormulas(t *testing.T) {
	d := custard(t)
	evil := []string{"=1+1", "+1", "-1", "@SUM(1)", "\tx", "\rx", "\nx", "＝1", "'=1"}
	for i, x := range evil {
		d.Events = append(d.Events, panel.Event{At: night, Who: x, What: evil[(i+1)%len(evil)], Detail: x})
	}
	asked := *d.Study.Spec
	asked.Dishes = []study.Dish{{ID: "custard", Title: "=HYPERLINK(\"x\")"}}
	d.Study.Spec = &asked
	for name, text := range filesOf(t, d) {
		if !strings.HasSuffix(name, ".csv") {
			continue
		}
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		must(t, err)
		for _, row := range rows {
			for i, cell := range row {
				if name == "numbers.csv" && rows[0][i] == "value" {
					continue // numbers, which may be below 0
				}
				if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r\n") || strings.HasPrefix(cell, "＝") {
					t.Errorf("%s: cell %q runs in a spreadsheet", name, cell)
				}
			}
		}
	}
	if got := guard("-0.5"); got != "'-0.5" {
		t.Errorf("guard: %q", got)
	}
	tab := table{fields: []field{{name: "x", kind: number}}}
	must(t, tab.add(-0.5))
	if tab.rows[0][0] != "-0.5" {
		t.Errorf("a number is written as %q", tab.rows[0][0])
	}
}

// TestVersionsAndSignature is of a plan that was changed and signed.
func TestVersionsAndSignature(t *testing.T) {
	d := custard(t)
	d.Study.Version = 2
	d.Study.Countersigned = panel.Countersign{At: night.Add(-4 * time.Hour), Name: "Renée Öst"}
	d.Versions = []panel.VersionLine{
		{Number: 1, State: panel.Closed, LockedAt: night.Add(-6 * time.Hour), StudyHash: "5eed", PlanHash: "b1a2"},
		{Number: 2, State: panel.Closed, LockedAt: d.Study.Lock.At, StudyHash: d.Study.Lock.StudyHash,
			PlanHash: d.Study.Lock.PlanHash,
			Reason:   "the oven\nfailed", RatingsBefore: 3},
	}
	d.Photos = []panel.Photo{{Dish: "custard", JPEG: []byte{0xff, 0xd8, 0xff}}}
	files := filesOf(t, d)
	for _, want := range []string{"by Renée Öst, before the first rating", "This is version 2.", "study hash 5eed",
		"started when version 1 had 3 servings rated, because: the oven " +
			"failed\n", "photo-custard.jpg", fmt.Sprintf("Seed        %d\n", d.Plan.Seed)} {
		if !strings.Contains(string(files["README.txt"]), want) {
			t.Errorf("README.txt lacks %q", want)
		}
	}
	if !bytes.Equal(files["photo-custard.jpg"], d.Photos[0].JPEG) {
		t.Error("the photo is not in the package")
	}
	packed, err := zipped(d.At, File{"README.txt", files["README.txt"]})
	must(t, err)
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	must(t, err)
	text, err := fs.ReadFile(z, "README.txt")
	must(t, err)
	if !bytes.Equal(text, files["README.txt"]) {
		t.Error("the packed file differs")
	}
}

func TestRefusals(t *testing.T) {
	for _, state := range []panel.State{panel.Draft, panel.Locked, panel.Open} {
		d := custard(t)
		d.Study.State = state
		if files, err := Files(d); !errors.Is(err, ErrNotClosed) || files != nil {
			t.Errorf("a study that is %v: %v, want ErrNotClosed and no file", state, err)
		}
	}
	d := custard(t)
	d.Study.Lock.PlanHash = strings.Repeat("0", 64)
	if _, err := Files(d); err == nil || !strings.Contains(err.Error(), "locked was 000") {
		t.Errorf("another plan than the locked one: %v", err)
	}
	d = custard(t)
	d.Findings, d.Answers = nil, nil
	if files := filesOf(t, d); files["findings.json"] != nil ||
		!strings.Contains(string(files["README.txt"]), "no findings") {
		t.Error("a study that nobody rated has findings, or does not say that it has none")
	}
	d = custard(t)
	d.Study.Lock.StudyHash = strings.Repeat("0", 64)
	if files := filesOf(t, d); !strings.Contains(string(files["README.txt"]), "NOTE: study.json has another hash") {
		t.Error("another canonical form goes without a note")
	}
}

// TestInR reads the package as the partner does and finds the same primary test.
// Source: t.test of R's package stats.
func TestInR(t *testing.T) {
	if _, err := exec.LookPath("Rscript"); err != nil {
		if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
			t.Fatal("needs Rscript; CLOCHE_REQUIRE_ALL=1 allows no skip")
		}
		t.Skip("needs Rscript")
	}
	d := custard(t)
	dir := t.TempDir()
	for name, text := range filesOf(t, d) {
		must(t, os.WriteFile(filepath.Join(dir, name), text, 0o600))
	}
	cmd := exec.Command("Rscript", "--vanilla", "-e", `
ratings <- read.csv("ratings.csv", na.strings = "", colClasses = c(code = "character"))
wide <- reshape(ratings[ratings$attribute == "saltiness", c("assessor", "sample", "value")],
                idvar = "assessor", timevar = "sample", direction = "wide")
r <- t.test(wide$value.A, wide$value.B, paired = TRUE)
cat(sprintf("%.17g %.17g %d", r$statistic, r$p.value, nrow(wide)))`)
	cmd.Dir = dir
	out, err := cmd.Output()
	must(t, err)
	var statistic, p float64
	var n int
	_, err = fmt.Sscan(string(out), &statistic, &p, &n)
	must(t, err)
	primary := d.Findings.Findings[0]
	for what, pair := range map[string][2]float64{"t": {primary.Test.Statistic, statistic}, "p": {primary.Test.P, p},
		"n": {float64(primary.N), float64(n)}} {
		if diff := pair[0] - pair[1]; diff > 1e-8 || diff < -1e-8 {
			t.Errorf("%s: %v here, %v in R", what, pair[0], pair[1])
		}
	}
}
