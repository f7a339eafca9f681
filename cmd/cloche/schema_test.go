package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"
)

// printed runs the program and returns what it printed.
func printed(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, remarks bytes.Buffer
	if code := run(context.Background(), args, strings.NewReader(""), &out, &remarks); code != exitDone {
		t.Fatalf("%q: exit %d, %s", args, code, remarks.String())
	}
	return out.Bytes()
}

// printedSchema is what “cloche schema” prints, read again.
func printedSchema(t *testing.T, of string) *jsonschema.Resolved {
	t.Helper()
	var s jsonschema.Schema
	fatal(t, json.Unmarshal(printed(t, "schema", of), &s))
	if s.Schema != "https://json-schema.org/draft/2020-12/schema" || s.Title == "" {
		t.Errorf("the schema of a %s is of %q and called %q", of, s.Schema, s.Title)
	}
	resolved, err := s.Resolve(nil)
	fatal(t, err)
	return resolved
}

// What the program writes of every example fits the schemas that it prints.
func TestSchemasFitWhatIsWritten(t *testing.T) {
	plan, findings := printedSchema(t, "plan"), printedSchema(t, "findings")
	printedSchema(t, "study") // held to the parser beside it
	fits := func(file string, schema *jsonschema.Resolved, text []byte) {
		var v any
		fatal(t, json.Unmarshal(text, &v))
		if err := schema.Validate(v); err != nil {
			t.Errorf("%s: %v", filepath.Base(file), err)
		}
	}
	analysed := 0
	for _, file := range exampleStudies(t) {
		fits(file, plan, printed(t, "plan", file, "--format", "json", "--seed", "5"))
		ratings := strings.TrimSuffix(file, ".yaml") + "-ratings.csv"
		if _, err := os.Stat(ratings); err == nil {
			fits(file, findings, printed(t, "analyse", file, ratings, "--format", "json"))
			analysed++
		}
	}
	if analysed < 8 {
		t.Errorf("%d examples have ratings", analysed)
	}
}

func TestSchemaOfWhat(t *testing.T) {
	var out, remarks bytes.Buffer
	code := run(context.Background(), []string{"schema", "ratings"}, strings.NewReader(""), &out, &remarks)
	if code != exitUsage || !strings.Contains(remarks.String(), "write study, plan or findings") {
		t.Errorf("exit %d, %q", code, remarks.String())
	}
}
