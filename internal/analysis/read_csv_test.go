package analysis_test

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/study"
)

const header = "assessor,position,code,dish,name,attribute,value\n"

// readString reads ratings of the custard, with its key when asked for.
func readString(t testing.TB, text string, withKey bool) ([]analysis.Rating, []study.Problem) {
	t.Helper()
	s, plan, _ := custard(t, 1)
	var key *analysis.Key
	if withKey {
		key = analysis.KeyOf(plan)
	}
	return analysis.ReadCSV("r.csv", strings.NewReader(text), s, key)
}

func TestReadCSVForms(t *testing.T) {
	want := []analysis.Rating{
		{Assessor: "1", Position: 1, Code: "553", Sample: "A", Attribute: "saltiness", Value: 62.5},
		{Assessor: "1", Position: 2, Code: "337", Sample: "B", Attribute: "saltiness", Value: 40},
	}
	for _, tc := range []struct {
		name, text string
		key        bool
	}{
		{"as written by the service", header +
			"1,1,553,custard,brulee,saltiness,62.5\n1,2,337,custard,royale,saltiness,40\n", false},
		{"against the key", header + "1,1,553,custard,brulee,saltiness,62.5\n1,2,337,custard,royale,saltiness,40\n",
			true},
		{"byte-order mark", "\ufeff" + header +
			"1,1,553,custard,brulee,saltiness,62.5\n1,2,337,custard,royale,saltiness,40\n", false},
		{"semicolons and decimal comma", strings.ReplaceAll(header, ",", ";") +
			"1;1;553;custard;brulee;saltiness;62,5\n1;2;337;custard;royale;saltiness;40\n", false},
		{"semicolons and decimal point", strings.ReplaceAll(header, ",", ";") +
			"1;1;553;custard;brulee;saltiness;62.5\n1;2;337;custard;royale;saltiness;40\n", false},
		{"carriage returns, blank lines", strings.ReplaceAll(header+
			"1,1,553,custard,brulee,saltiness,62.5\n\n1,2,337,custard,royale,saltiness,40\n,,,,,,\n", "\n", "\r\n"),
			false},
		{"words instead of ids", header + "1,1,553,Warm celeriac custard,Celeriac  Crème Brûlée,how salty is " +
			"it?,62.5\n1,2,337,custard,celeriac royale,saltiness,40\n", false},
		{"accents as two characters", header + "1,1,553,custard,celeriac cre\u0300me " +
			"bru\u0302le\u0301e,saltiness,62.5\n1,2,337,custard,royale,saltiness,40\n", false},
		{"empty cells beyond the header", header +
			"1,1,553,custard,brulee,saltiness,62.5,,\n1,2,337,custard,royale,saltiness,40\n", false},
		{"other order, more columns", "time,value,attribute,name,dish,code,position,assessor,note\nt,62.5,saltiness," +
			"brulee,custard,553,1,1,x\nt,40,saltiness,royale,custard,337,2,1,\"a, b\"\n", false},
		{"capitals and spaces in the header", "Assessor, Position " +
			",code,dish,name,attribute,VALUE\n1,1,553,custard,brulee,saltiness, " +
			"62.5\n1,2,337,custard,royale,saltiness,40\n", false},
		{"codes from the key", header + "1,1,,custard,brulee,saltiness,62.5\n1,2,,custard,royale,saltiness,40\n", true},
		{"positions from the key", header + "1,,553,custard,brulee,saltiness,62.5\n1,,337,custard,royale,saltiness," +
			"40\n", true},
		{"servings from the key", header + "1,,,custard,brulee,saltiness,62.5\n1,,,custard,royale,saltiness,40\n",
			true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, problems := readString(t, tc.text, tc.key)
			if len(problems) > 0 {
				t.Fatalf("problems: %v", problems)
			}
			if !reflect.DeepEqual(got, want) {
				t.Errorf("got %v\nwant %v", got, want)
			}
		})
	}
}

func TestReadCSVMistakes(t *testing.T) {
	const good = "1,1,553,custard,brulee,saltiness,62\n"
	for _, tc := range []struct {
		name, text string
		key        bool
		want       []string // beginnings of the problems, in order
	}{
		{"empty file", "", false, []string{"r.csv:1:1: the file is empty"}},
		{"only a header", header, false, []string{"r.csv:1:1: there are no ratings"}},
		{"missing columns", "assessor,position,code,dish,name\n1,1,553,custard,brulee\n", false,
			[]string{`r.csv:1:1: missing column "attribute", "value"`}},
		{"a column twice", "assessor,position,code,dish,name,attribute,value,value\n", false,
			[]string{`r.csv:1:50: the column "value" stands twice`}},
		{"not UTF-8", header + "1,1,553,custard,br\xfbl\xe9e,saltiness,62\n", false,
			[]string{"r.csv:2:19: the file is not in UTF-8"}},
		{"UTF-16", "\xff\xfea\x00", false, []string{"r.csv:1:1: the file is not in UTF-8"}},
		{"open quote", header + "1,1,553,custard,\"brulee,saltiness,62\n", false,
			[]string{"r.csv:2:38: the row cannot be read"}},
		{"short row", header + "1,1,553,custard\n" + good, false,
			[]string{"r.csv:2:1: this row has 4 cells, the first line has 7"}},
		{"decimal comma without quotes", header + "1,1,553,custard,brulee,saltiness,62,5\n" + good, false,
			[]string{"r.csv:2:1: this row has 8 cells, the first line has 7"}},
		{"no assessor", header + ",1,553,custard,brulee,saltiness,62\n", false, []string{"r.csv:2:1: no assessor"}},
		{"position a word", header + "1,first,553,custard,brulee,saltiness,62\n", false,
			[]string{`r.csv:2:3: "first" is not a position`}},
		{"position zero", header + "1,0,553,custard,brulee,saltiness,62\n", false,
			[]string{`r.csv:2:3: "0" is not a position`}},
		{"unknown dish", header + "1,1,553,custrd,brulee,saltiness,62\n", false,
			[]string{`r.csv:2:9: the study has no dish "custrd"; write one of custard`}},
		{"unknown name", header + "1,1,553,custard,brule,saltiness,62\n", false,
			[]string{`r.csv:2:17: the study has no name "brule"; write one of brulee, royale`}},
		{"no such sample", header + "1,1,553,custard,,saltiness,62\n", false,
			[]string{`r.csv:2:17: the study has no blind sample of "custard"; samples are A (custard, brulee), B ` +
				`(custard, royale)`}},
		{"unknown attribute", header + "1,1,553,custard,brulee,salt,62\n", false,
			[]string{`r.csv:2:24: the study has no attribute "salt"`}},
		{"no value", header + "1,1,553,custard,brulee,saltiness,\n", false, []string{"r.csv:2:34: no value"}},
		{"value a word", header + "1,1,553,custard,brulee,saltiness,very\n", false,
			[]string{`r.csv:2:34: "very" is not a number`}},
		{"value in Go's spelling", header + "1,1,553,custard,brulee,saltiness,0x10\n1,2,337,custard,royale,saltiness," +
			"NaN\n", false, []string{`r.csv:2:34: "0x10" is not a number`, `r.csv:3:34: "NaN" is not a number`}},
		{"decimal comma among commas", header + "1,1,553,custard,brulee,saltiness,\"62,5\"\n", false,
			[]string{`r.csv:2:34: "62,5" is not a number`}},
		{"off the line", header + "1,1,553,custard,brulee,saltiness,101\n1,2,337,custard,royale,saltiness,-1\n", false,
			[]string{"r.csv:2:34: 101 is off the scale of \"saltiness\"; write a number from 0 to 100",
				"r.csv:3:34: -1 is off the scale"}},
		{"between categories", header + "1,1,553,custard,brulee,liking,6.5\n", false,
			[]string{"r.csv:2:31: 6.5 is off the scale of \"liking\"; write a whole number from 1 to 9"}},
		{"the same answer twice", header + good + good, false,
			[]string{"r.csv:3:24: assessor 1 rated saltiness of sample A at position 1 in line 2 already"}},
		{"twice without positions", header + "1,,,custard,brulee,saltiness,62\n1,,,custard,brulee,saltiness,61\n",
			false, []string{"r.csv:3:20: assessor 1 rated saltiness of sample A in line 2 already"}},
		{"two samples at one position", header + good + "1,1,553,custard,royale,liking,6\n", false,
			[]string{"r.csv:3:9: assessor 1 has sample B at position 1 here, but A in line 2"}},
		{"two codes on one serving", header + good + "1,1,554,custard,brulee,liking,6\n", false,
			[]string{"r.csv:3:5: assessor 1 has code 554 at position 1 here, but 553 in line 2"}},
		{"assessor not in the key", header + "41,1,553,custard,brulee,saltiness,62\n", true,
			[]string{`r.csv:2:1: assessor "41" is not in the key`}},
		{"code of someone else", header + "1,1,127,custard,brulee,saltiness,62\n", true,
			[]string{"r.csv:2:5: code 127 was not served to assessor 1 at position 1"}},
		{"code without position, of someone else", header + "1,,127,custard,brulee,saltiness,62\n", true,
			[]string{"r.csv:2:4: code 127 was not served to assessor 1;"}},
		{"position not in the key", header + "1,3,,custard,brulee,saltiness,62\n", true,
			[]string{"r.csv:2:3: assessor 1 has no serving of sample A at position 3 in the key"}},
		{"sample against the key", header + "1,1,553,custard,royale,saltiness,62\n", true,
			[]string{"r.csv:2:9: this serving was sample A, not B"}},
		{"several at once", header + "1,1,553,custrd,brule,salt,x\n" + good + "1,2,337,custard,royale,saltiness,200\n",
			false, []string{"r.csv:2:9", "r.csv:2:16", "r.csv:2:22", "r.csv:2:27", "r.csv:4:34"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, problems := readString(t, tc.text, tc.key)
			if got != nil {
				t.Errorf("imported by half: %v", got)
			}
			if len(problems) != len(tc.want) {
				t.Fatalf("%d problems, want %d: %v", len(problems), len(tc.want), problems)
			}
			for i, p := range problems {
				if !strings.HasPrefix(p.Error(), tc.want[i]) {
					t.Errorf("got  %s\nwant %s…", p.Error(), tc.want[i])
				}
			}
		})
	}
}

func TestReadCSVIsBounded(t *testing.T) {
	many := header + strings.Repeat("1,1,553,custard,brulee,nothing,1\n", 500)
	_, problems := readString(t, many, false)
	if len(problems) != 101 || problems[100].What.String() != "and 400 more mistakes" {
		t.Errorf("%d problems, the last %q", len(problems), problems[len(problems)-1].What)
	}
	large := header + strings.Repeat(" ", 33<<20)
	if _, problems := readString(t, large, false); len(problems) != 1 ||
		!strings.Contains(problems[0].What.String(), "larger than 32 MB") {
		t.Errorf("a file of 33 MB: %v", problems)
	}
}

func TestWriteCSVReadsBack(t *testing.T) {
	s, _, ratings := custard(t, 5)
	ratings[0].Value = 1.0 / 3
	for i, who := range []string{"=1+1", "+x", "-5", "@a", "'=x", "'", "Anna, table 4", `say "hi"`, "Ærø"} {
		ratings = append(ratings, analysis.Rating{Assessor: who, Position: 1 + i%2, Sample: "A", Attribute: "liking",
			Value: 5})
	}
	var out bytes.Buffer
	if err := analysistest.WriteCSV(&out, s, ratings); err != nil {
		t.Fatal(err)
	}
	for n, line := range strings.Split(out.String(), "\n") {
		if strings.IndexAny(line, "=+-@") == 0 {
			t.Errorf("line %d begins with a formula: %s", n+1, line)
		}
	}
	got, problems := analysis.ReadCSV("r.csv", &out, s, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if !reflect.DeepEqual(got, ratings) {
		t.Error("what was written does not read back as it was")
	}
}

func TestReadKeyOfThePlan(t *testing.T) {
	s, plan, ratings := custard(t, 5)
	var key, out bytes.Buffer
	if err := plan.WriteKey(&key, s); err != nil {
		t.Fatal(err)
	}
	k, problems := analysis.ReadKey("key.csv", &key, s)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if err := analysistest.WriteCSV(&out, s, ratings); err != nil {
		t.Fatal(err)
	}
	if _, problems := analysis.ReadCSV("r.csv", &out, s, k); len(problems) > 0 {
		t.Errorf("ratings of the plan do not fit its key: %v", problems)
	}
}

func TestReadKeyMistakes(t *testing.T) {
	s := parseStudy(t, custardFile)
	const head = "assessor,position,code,dish,name\n"
	for _, tc := range []struct{ name, text, want string }{
		{"empty", head, "k.csv:1:1: there are no rated servings"},
		{"only a warm-up", head + "1,0,553,custard,brulee\n", "k.csv:1:1: there are no rated servings"},
		{"missing column", "assessor,position,code,dish\n", `k.csv:1:1: missing column "name"`},
		{"position a word", head + "1,x,553,custard,brulee\n", `k.csv:2:3: "x" is not a position`},
		{"a position twice", head + "1,1,553,custard,brulee\n1,1,554,custard,royale\n",
			"k.csv:3:3: assessor 1 has position 1 in line 2 already"},
		{"unknown name", head + "1,1,553,custard,x\n", `k.csv:2:17: the study has no name "x"`},
		{"no assessor", head + ",1,553,custard,brulee\n", "k.csv:2:1: no assessor"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			k, problems := analysis.ReadKey("k.csv", strings.NewReader(tc.text), s)
			if k != nil || len(problems) != 1 || !strings.HasPrefix(problems[0].Error(), tc.want) {
				t.Errorf("got %v, want %s…", problems, tc.want)
			}
		})
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add(header + "1,1,553,custard,brulee,saltiness,62.5\n1,2,337,custard,royale,saltiness,40\n")
	f.Add("\ufeffassessor;position;code;dish;name;attribute;value\r\n'=a;;;custard;brulee;liking;7\r\n")
	f.Add(header + "1,1,553,custard,\"bru\"\"lee\n")
	f.Add(header + "1,0,,x,y,z,1e999\n2,2\n\xff")
	s := parseStudy(f, custardFile)
	f.Fuzz(func(t *testing.T, text string) {
		ratings, problems := analysis.ReadCSV("r.csv", strings.NewReader(text), s, nil)
		if (ratings == nil) != (len(problems) > 0) {
			t.Fatalf("%d ratings with %d problems: by half", len(ratings), len(problems))
		}
		lines := 1 + strings.Count(text, "\n")
		for _, p := range problems {
			if p.Line < 0 || p.Line > lines+1 || p.Column < 0 || p.Column > len(text)+1 || p.What.Text == "" {
				t.Fatalf("problem outside the file of %d lines: %s", lines, p.Error())
			}
		}
		if ratings == nil {
			return
		}
		var out bytes.Buffer
		if err := analysistest.WriteCSV(&out, s, ratings); err != nil {
			t.Fatal(err)
		}
		again, problems := analysis.ReadCSV("r.csv", bytes.NewReader(out.Bytes()), s, nil)
		if len(problems) > 0 || !reflect.DeepEqual(ratings, again) {
			t.Fatalf("written and read again: %v\n%v\n%s", problems, fmt.Sprint(ratings), out.String())
		}
		if _, err := analysis.Analyse(s, ratings, analysis.Options{}); err != nil {
			t.Fatalf("ratings that were read cannot be analysed: %v", err)
		}
	})
}
