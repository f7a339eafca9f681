package main

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/pflag"

	"cloche/internal/help"
)

// helpPage is the text of a help page.
func helpPage(t *testing.T, id string) string {
	t.Helper()
	page, ok, err := help.Find("en", id)
	if err != nil || !ok {
		t.Fatalf("help on %s: %v, %v", id, ok, err)
	}
	return page.Text
}

// TestHelpTellsEveryField: what a script may read in findings stands on the page on files.
func TestHelpTellsEveryField(t *testing.T) {
	page := helpPage(t, "files")
	var schema any
	fatal(t, json.Unmarshal(printed(t, "schema", "findings"), &schema))
	fields := map[string]bool{}
	properties(schema, fields)
	told := map[string]bool{}
	for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(page, -1) {
		told[m[1]] = true
	}
	var missing []string
	for f := range fields {
		if !told[f] {
			missing = append(missing, f)
		}
	}
	slices.Sort(missing)
	if len(fields) < 150 || len(missing) > 0 {
		t.Errorf("of %d fields the page does not tell %q", len(fields), missing)
	}
}

// properties collects the names of all fields that a schema has.
func properties(schema any, into map[string]bool) {
	switch s := schema.(type) {
	case map[string]any:
		if fields, ok := s["properties"].(map[string]any); ok {
			for name := range fields {
				into[name] = true
			}
		}
		for _, below := range s {
			properties(below, into)
		}
	case []any:
		for _, below := range s {
			properties(below, into)
		}
	}
}

// TestHelpTellsTheKey: its columns are those of the plan's CSV.
func TestHelpTellsTheKey(t *testing.T) {
	atRoot(t)
	columns, _, _ := strings.Cut(string(printed(t, "plan", "studies/celeriac-custard.yaml", "--for", "key", "--format",
		"csv")), "\n")
	if !strings.Contains(helpPage(t, "files"), "`"+strings.TrimSpace(columns)+"`") {
		t.Errorf("the page on files does not tell %q", columns)
	}
}

// TestHelpTellsEverySetting: each flag of the service stands in the operator's table, with
// its environment variable and what it is without either.
func TestHelpTellsEverySetting(t *testing.T) {
	page := helpPage(t, "operator")
	begun := false
	serve, _, err := newRoot(&begun).Find([]string{"serve"})
	fatal(t, err)
	told := 0
	serve.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if f.Name == "help" {
			return
		}
		told++
		row := regexp.MustCompile("(?m)^\\| `--" + f.Name + "` \\| `(CLOCHE_[A-Z_]+)` \\| (.*?) \\|").
			FindStringSubmatch(page)
		if row == nil || !strings.Contains(serve.Long, row[1]) {
			t.Errorf("--%s has the row %q", f.Name, row)
		} else if !slices.Contains([]string{"", "[]", "false"}, f.DefValue) && !strings.Contains(row[2], f.DefValue) {
			t.Errorf("--%s: the page says %s without it, the program %s", f.Name, row[2], f.DefValue)
		}
	})
	if told < 6 {
		t.Errorf("%d flags", told)
	}
}

// TestHelpTellsEveryCommand: each has its row.
func TestHelpTellsEveryCommand(t *testing.T) {
	page := helpPage(t, "commands")
	begun := false
	for _, c := range newRoot(&begun).Commands() {
		if name := c.Name(); name != "completion" && !strings.Contains(page, "| `cloche "+name) {
			t.Errorf("cloche %s stands in no row", name)
		}
	}
}
