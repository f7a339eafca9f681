package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"testing"

	"cloche/internal/study"
)

func runPlanArgs(args ...string) (code int, stdout, stderr string) {
	var out, remarks bytes.Buffer
	code = run(context.Background(), append([]string{"plan"}, args...), strings.NewReader(""), &out, &remarks)
	return code, out.String(), remarks.String()
}

// exampleStudies are all study files of the folder studies.
func exampleStudies(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("../../studies/*.yaml")
	if err != nil || len(files) < 15 {
		t.Fatalf("%d studies, %v", len(files), err)
	}
	return files
}

func TestPlanEveryViewInEveryFormat(t *testing.T) {
	headers := map[string]string{
		"key":     "assessor,position,code,dish,name",
		"kitchen": "sitting,wave,dish,code,assessor,kind",
		"floor":   "sitting,assessor,turn,order,code,say,kind",
		"balance": "table,row,column,value",
	}
	for _, file := range exampleStudies(t) {
		for view, header := range headers {
			for _, format := range []string{"csv", "json", "text"} {
				t.Run(filepath.Base(file)+"/"+view+"/"+format, func(t *testing.T) {
					code, out, remarks := runPlanArgs(file, "--for", view, "--format", format, "--seed", "5")
					// an example may have a panel that does not fill its last block
					if code != exitDone || remarks != "" && !strings.HasPrefix(remarks, "note (panel-uneven): ") {
						t.Fatalf("exit %d, stderr %q", code, remarks)
					}
					switch format {
					case "json":
						if !json.Valid([]byte(out)) {
							t.Error("not JSON")
						}
					case "csv":
						rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
						if err != nil || len(rows) < 2 || strings.Join(rows[0], ",") != header {
							t.Errorf("%v, begins %.60q", err, out)
						}
					case "text":
						if len(out) < 100 {
							t.Errorf("%q", out)
						}
					}
				})
			}
		}
	}
}

// TestPlanViewsKeepTheBlind plants words in every hidden field and looks for
// them in what each reader gets.
func TestPlanViewsKeepTheBlind(t *testing.T) {
	src, err := os.ReadFile("../../studies/recipe-or-name.yaml")
	if err != nil {
		t.Fatal(err)
	}
	canaries := map[string]string{
		"P1": "sampleCanary1", "B1": "sampleCanary2", "plain": "dishCanary1", "brown": "dishCanary2",
		"butter": "nameCanary1", "garden": "nameCanary2",
	}
	text := string(src)
	for old, canary := range map[string]string{
		"brown butter custard": "spoken canary one", "garden custard": "spoken canary two",
		"Celeriac custard with cream": "titleCanary1", "Celeriac custard with brown butter": "titleCanary2",
		"Is it the brown butter or its name that tastes rich?": "questionCanary?",
		"seed: 20261105": "seed: 987654321012345",
	} {
		text = strings.ReplaceAll(text, old, canary)
	}
	for old, canary := range canaries {
		text = regexp.MustCompile(`(id: |dish: |name: |[\[ ])`+old+`([\],\n])`).ReplaceAllString(text,
			"${1}"+canary+"${2}")
	}
	file := filepath.Join(t.TempDir(), "study.yaml")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	hidden := map[string][]string{
		"floor":   {"dishCanary", "titleCanary", "sampleCanary", "nameCanary", "questionCanary", "987654321012345"},
		"kitchen": {"nameCanary", "spoken canary", "sampleCanary", "questionCanary", "987654321012345"},
	}
	shown := map[string][]string{
		"floor":   {"spoken canary one", "spoken canary two"},
		"kitchen": {"dishCanary1", "dishCanary2"},
	}
	for view := range hidden {
		for _, format := range []string{"csv", "json", "text"} {
			code, out, remarks := runPlanArgs(file, "--for", view, "--format", format)
			if code != exitDone {
				t.Fatalf("exit %d: %s", code, remarks)
			}
			for _, word := range hidden[view] {
				if strings.Contains(out+remarks, word) {
					t.Errorf("%s as %s shows %s", view, format, word)
				}
			}
			for _, word := range shown[view] {
				if !strings.Contains(out, word) {
					t.Errorf("%s as %s lacks %s", view, format, word)
				}
			}
		}
	}
}

// TestPlanHashFromKey builds the canonical form from the key as JSON by its
// documentation alone, and compares the hashes.
func TestPlanHashFromKey(t *testing.T) {
	for _, file := range exampleStudies(t) {
		code, out, _ := runPlanArgs(file, "--format", "json", "--seed", "18446744073709551615")
		if code != exitDone {
			t.Fatalf("exit %d", code)
		}
		var p struct {
			PlanHash          string `json:"plan_hash"`
			Engine, Assessors int
			Seed              uint64
			Sittings          int
			Samples           []string
			Servings          []struct {
				Assessor, Sitting, Turn, Position, Stratum int
				Kind, Code, Sample                         string
			}
			SpareCodes []struct {
				Sitting int
				Codes   []string
			} `json:"spare_codes"`
		}
		if err := json.Unmarshal([]byte(out), &p); err != nil {
			t.Fatal(err)
		}
		lines := []string{"cloche plan 1", fmt.Sprint("engine ", p.Engine), fmt.Sprint("seed ", p.Seed),
			fmt.Sprint("assessors ", p.Assessors), fmt.Sprint("sittings ", p.Sittings)}
		for _, x := range p.Samples {
			lines = append(lines, "sample "+x)
		}
		strata := map[int]int{}
		for _, v := range p.Servings {
			if v.Stratum > 0 {
				strata[v.Assessor] = v.Stratum
			}
		}
		for a := 1; a <= len(strata); a++ {
			lines = append(lines, fmt.Sprintf("stratum %d %d", a, strata[a]))
		}
		for _, v := range p.Servings {
			if v.Code == "" {
				v.Code = "-"
			}
			lines = append(lines, fmt.Sprintf("serving %d %d %d %d %s %s %s", v.Assessor, v.Sitting, v.Turn, v.Position,
				v.Kind, v.Code, v.Sample))
		}
		for _, x := range p.SpareCodes {
			lines = append(lines, fmt.Sprintf("spare %d %s", x.Sitting, strings.Join(x.Codes, " ")))
		}
		sum := sha256.Sum256([]byte(strings.Join(lines, "\n") + "\n"))
		if got := hex.EncodeToString(sum[:]); got != p.PlanHash {
			t.Errorf("%s: %s, want %s", file, got, p.PlanHash)
		}
	}
}

func TestPlanSeeds(t *testing.T) {
	_, own, remarks := runPlanArgs(custardStudy)
	if _, same, _ := runPlanArgs(custardStudy, "--seed", "20261125"); same != own || remarks != "" {
		t.Errorf("the study's own seed gives another plan than --seed with it; stderr %q", remarks)
	}
	if _, other, _ := runPlanArgs(custardStudy, "--seed", "0"); other == own {
		t.Error("--seed 0 is not heeded")
	}
	src, err := os.ReadFile(custardStudy)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "seedless.yaml")
	text := strings.Replace(string(src), "  seed: 20261125\n", "", 1)
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	_, drawn, remarks := runPlanArgs(file)
	m := regexp.MustCompile(`--seed (\d+)`).FindStringSubmatch(remarks)
	if m == nil {
		t.Fatalf("stderr does not tell the seed: %q", remarks)
	}
	if _, again, _ := runPlanArgs(file, "--seed", m[1]); again != drawn {
		t.Error("the seed that was told draws another plan")
	}
}

func TestPlanAssessors(t *testing.T) {
	_, out, _ := runPlanArgs(custardStudy, "--assessors", "7")
	if n := strings.Count(out, "\n"); n != 1+2*7 {
		t.Errorf("%d lines for 7 assessors with two servings each", n)
	}
}

func TestPlanExitCodes(t *testing.T) {
	dir := t.TempDir()
	wrong := filepath.Join(dir, "wrong.yaml")
	if err := os.WriteFile(wrong, []byte("cloche: 1\ntitle: x\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name string
		args []string
		code int
		want string
	}{
		{"no file", nil, exitUsage, "accepts 1 arg"},
		{"unknown view", []string{custardStudy, "--for", "guests"}, exitUsage, "key, kitchen, floor or balance"},
		{"unknown format", []string{custardStudy, "--format", "xml"}, exitUsage, "csv"},
		{"no such number", []string{custardStudy, "--seed", "-1"}, exitUsage, "seed"},
		{"no assessors", []string{custardStudy, "--assessors", "0"}, exitUsage, "write 1 or more"},
		{"missing file", []string{filepath.Join(dir, "none.yaml")}, exitInput, "none.yaml"},
		{"mistakes in the study", []string{wrong}, exitInput, "wrong.yaml:"},
		{"too many for the codes of one sitting", []string{custardStudy, "--assessors", "500"}, exitInput,
			"write panel.sittings: 2"},
		{"too many for the seats", []string{"../../studies/four-custards.yaml", "--assessors", "60"}, exitInput,
			"60 assessors with 24 seats need at least 3 sittings; planned: 2; write panel.sittings: 3"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			code, out, remarks := runPlanArgs(tc.args...)
			if code != tc.code || !strings.Contains(remarks, tc.want) || out != "" {
				t.Errorf("exit %d, want %d; stderr %q, want %q; stdout %q", code, tc.code, remarks, tc.want, out)
			}
		})
	}
}

// TestPlanKeyFitsTheRatings: what the key says of a serving is what ratings say
// of it.
func TestPlanKeyFitsTheRatings(t *testing.T) {
	_, key, _ := runPlanArgs(custardStudy)
	file := filepath.Join(t.TempDir(), "key.csv")
	if err := os.WriteFile(file, []byte(key), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, _, remarks := runAnalyseArgs(custardStudy, custardRatings, "--key", file); code != exitDone {
		t.Errorf("exit %d: %s", code, remarks)
	}
}

// TestPlanKitchenAndFloorHaveEveryPlate: the codes of the key, no more, no less.
func TestPlanKitchenAndFloorHaveEveryPlate(t *testing.T) {
	for _, file := range exampleStudies(t) {
		want := column(t, file, "key", 2)
		if got := column(t, file, "kitchen", 3); got != want {
			t.Errorf("%s: the kitchen has other codes", file)
		}
		if got := column(t, file, "floor", 4); got != want {
			t.Errorf("%s: the floor has other codes", file)
		}
	}
}

// column returns the sorted codes of a view.
func column(t *testing.T, file, view string, i int) string {
	t.Helper()
	_, out, _ := runPlanArgs(file, "--for", view, "--seed", "3")
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, row := range rows[1:] {
		if row[i] != "" {
			codes = append(codes, row[i])
		}
	}
	sort.Strings(codes)
	return strings.Join(codes, " ")
}

func TestExampleStudiesAreInvented(t *testing.T) {
	titles := map[string]bool{}
	for _, file := range exampleStudies(t) {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		s, problems := study.Parse(file, src)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		if !strings.Contains(string(src), "invented") || !strings.HasSuffix(s.Title, "?") || titles[s.Title] {
			t.Errorf("%s: title %q; a study says that it is invented and asks a question of its own", file, s.Title)
		}
		titles[s.Title] = true
	}
}
