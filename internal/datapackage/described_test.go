package datapackage

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"
)

// published is a schema of the Data Package standard, version 1, as it was published on
// specs.frictionlessdata.io and stands in testdata/datapackage.
func published(t *testing.T, name string) *jsonschema.Resolved {
	t.Helper()
	text, err := os.ReadFile("../../testdata/datapackage/" + name + ".json")
	must(t, err)
	var schema jsonschema.Schema
	must(t, json.Unmarshal(text, &schema))
	schema.Schema = "" // draft 4, of which these use nothing that is read otherwise now
	resolved, err := schema.Resolve(nil)
	must(t, err)
	return resolved
}

// TestEveryExampleIsAsItIsDescribed: the description of the package of every example fits the published
// schemas, and they refuse a wrong one; every file is listed and summed; the codebook has every column of
// every table, with as many missing as there are.
func TestEveryExampleIsAsItIsDescribed(t *testing.T) {
	whole := published(t, "data-package")
	resource := map[string]*jsonschema.Resolved{"data-resource": published(t, "data-resource"),
		"tabular-data-resource": published(t, "tabular-data-resource")}
	examples, err := filepath.Glob("../../studies/*.yaml")
	must(t, err)
	if testing.Short() {
		examples = examples[:6]
	}
	for _, file := range examples {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		files := filesOf(t, answeredExample(t, name))
		var said map[string]any
		must(t, json.Unmarshal(files["datapackage.json"], &said))
		if err := whole.Validate(said); err != nil {
			t.Errorf("%s: datapackage.json: %v", name, err)
		}
		listed := map[string]bool{}
		for _, x := range said["resources"].([]any) {
			r := x.(map[string]any)
			listed[r["path"].(string)] = true
			if err := resource[r["profile"].(string)].Validate(r); err != nil {
				t.Errorf("%s: %s: %v", name, r["path"], err)
			}
			delete(r, "name")
			if resource[r["profile"].(string)].Validate(r) == nil {
				t.Errorf("%s: the schema takes %s without a name", name, r["path"])
			}
		}
		delete(said, "resources")
		if whole.Validate(said) == nil {
			t.Errorf("%s: the schema takes a package without files", name)
		}
		checkListed(t, name, files, listed)
		checkCodebook(t, name, files)
	}
}

// checkListed holds SHA256SUMS and the description to the files that there are.
func checkListed(t *testing.T, name string, files map[string][]byte, listed map[string]bool) {
	t.Helper()
	summed := map[string]string{}
	for line := range strings.Lines(string(files["SHA256SUMS"])) {
		sum, file, _ := strings.Cut(strings.TrimSpace(line), "  ")
		summed[file] = sum
	}
	for file, text := range files {
		sum := sha256.Sum256(text)
		if file != "SHA256SUMS" && summed[file] != hex.EncodeToString(sum[:]) {
			t.Errorf("%s: the sum of %s is %q", name, file, summed[file])
		}
		if file != "SHA256SUMS" && file != "datapackage.json" && !listed[file] {
			t.Errorf("%s: %s is not described", name, file)
		}
	}
	if len(summed) != len(files)-1 || len(listed) != len(files)-2 {
		t.Errorf("%s: %d files, %d sums, %d described", name, len(files), len(summed), len(listed))
	}
}

// checkCodebook holds the codebook to the tables, to itself too.
func checkCodebook(t *testing.T, name string, files map[string][]byte) {
	t.Helper()
	read := func(file string) [][]string {
		rows, err := csv.NewReader(bytes.NewReader(files[file])).ReadAll()
		must(t, err)
		return rows
	}
	rows := read("codebook.csv")
	at := func(column string) int { return slices.Index(rows[0], column) }
	described := map[[2]string][]string{}
	for _, row := range rows[1:] {
		described[[2]string{row[at("file")], row[at("field")]}] = row
	}
	columns := 0
	for file := range files {
		if !strings.HasSuffix(file, ".csv") {
			continue
		}
		table := read(file)
		for j, field := range table[0] {
			columns++
			row := described[[2]string{file, field}]
			if row == nil || row[at("label")] == "" || row[at("description")] == "" || row[at("type")] == "" {
				t.Errorf("%s: the codebook has %v of %s in %s", name, row, field, file)
				continue
			}
			missing := 0
			for _, x := range table[1:] {
				if x[j] == "" {
					missing++
				}
			}
			if row[at("missing")] != strconv.Itoa(missing) || missing > 0 && row[at("required")] == "true" {
				t.Errorf("%s: %s of %s is missing %d times: %v", name, field, file, missing, row)
			}
		}
	}
	if columns != len(described) {
		t.Errorf("%s: %d columns, %d in the codebook", name, columns, len(described))
	}
}
