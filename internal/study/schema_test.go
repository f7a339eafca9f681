package study

import (
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/google/go-cmp/cmp"
	"github.com/google/jsonschema-go/jsonschema"
	"pgregory.net/rapid"
)

func resolvedSchema(t interface{ Fatal(...any) }) *jsonschema.Resolved {
	schema, err := Schema().Resolve(nil)
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

// The schema takes every file that the program takes.
func TestSchemaTakesWhatParseTakes(t *testing.T) {
	schema := resolvedSchema(t)
	for _, file := range files(t) {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var v any
		if err := yaml.Unmarshal(src, &v); err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(v); err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
}

// fitsSchema checks a file that Parse takes. The library reads 1e-9 as text, which YAML's
// own core schema and [Parse] take for a number.
func fitsSchema(t *rapid.T, schema *jsonschema.Resolved, src []byte) {
	v := decoded(t, src)
	if plan, ok := v["analysis"].(map[string]any); ok {
		for name, x := range plan {
			if typed, ok := x.(string); ok && decimal.MatchString(typed) {
				plan[name], _ = strconv.ParseFloat(typed, 64)
			}
		}
	}
	if err := schema.Validate(v); err != nil {
		t.Fatalf("the schema refuses a sound study: %v\n%s", err, src)
	}
}

// ofOneValue are the mistakes that stand in one value or the keys of one block, which a
// schema can see.
var ofOneValue = regexp.MustCompile(` is not a key of (the|an?) |: an? [a-z ]+ has no ` +
	`"(id|title|text|dish|ask|portion|serve at)"` +
	`|: the study has no "(title|question|dishes|samples|panel|texts)"|(above|with) a fraction|is \w+, not true or ` +
	`false` +
	`|write year, month|characters long; write at most|cannot be an id|" cannot be "|, not text; `)

// Each known mistake of that sort is refused by the schema; what Parse takes is not.
func TestSchemaSeesMistakes(t *testing.T) {
	schema := resolvedSchema(t)
	_, cases := readMistakes(t)
	seen := 0
	for _, m := range cases {
		var v any
		if err := yaml.Unmarshal([]byte(m.source(t)), &v); err != nil {
			continue // an editor says so itself
		}
		err := schema.Validate(v)
		hit := slices.IndexFunc(m.reported, ofOneValue.MatchString)
		if hit >= 0 && err == nil {
			t.Errorf("%s: the schema takes %q", m.head, m.reported[hit])
		}
		if hit >= 0 {
			seen++
		}
	}
	if seen < 30 {
		t.Errorf("%d mistakes that a schema sees, want 30 or more", seen)
	}
}

// Every key of a block is in the schema, and no other.
func TestSchemaKnowsEveryKey(t *testing.T) {
	s := Schema()
	in := func(names ...string) *jsonschema.Schema {
		at := s
		for _, name := range names {
			if at = at.Properties[name]; at.Items != nil {
				at = at.Items
			}
		}
		return at
	}
	for name, block := range map[string]struct {
		keys []key
		s    *jsonschema.Schema
	}{
		"study": {studyKeys, s}, "dish": {dishKeys, in("dishes")}, "name": {nameKeys, in("names")},
		"sample": {sampleKeys, in("samples")}, "attribute": {attributeKeys, in("attributes")},
		"scale": {scaleKeys, in("attributes", "scale").AnyOf[1]}, "panel": {panelKeys, in("panel")},
		"screening": {screenKeys, in("panel", "screening")}, "serving": {servingKeys, in("serving")},
		"stratum": {stratumKeys, in("serving", "strata")}, "texts": {textKeys, in("texts")},
		"analysis": {analysisKeys, in("analysis")},
	} {
		var want []string
		for _, k := range block.keys {
			want = append(want, k.name)
		}
		slices.Sort(want)
		if diff := cmp.Diff(want, slices.Sorted(maps.Keys(block.s.Properties))); diff != "" {
			t.Errorf("keys of %s (-parsed +schema):\n%s", name, diff)
		}
	}
}
