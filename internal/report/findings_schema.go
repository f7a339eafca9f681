package report

import (
	"reflect"
	"strings"

	"github.com/google/jsonschema-go/jsonschema"
)

// FindingsSchema is the JSON Schema (draft 2020-12) of what [WriteJSON] writes, made from
// the same types. Every finding has the common fields; those of a kind may be absent.
func FindingsSchema() (*jsonschema.Schema, error) {
	s, err := jsonschema.For[resultWire](&jsonschema.ForOptions{TypeSchemas: map[reflect.Type]*jsonschema.Schema{
		reflect.TypeFor[value](): {Types: []string{"null", "number"},
			Description: "Null where it could not be computed."},
	}})
	if err != nil {
		return nil, err
	}
	for _, list := range []string{"findings", "expected"} {
		s.Properties[list].Items.Required = ofEveryKind()
	}
	s.Schema = "https://json-schema.org/draft/2020-12/schema"
	s.Title = "Findings of Cloche"
	return s, nil
}

// ofEveryKind are the fields that a finding of any kind has.
func ofEveryKind() (names []string) {
	t := reflect.TypeFor[findingWire]()
	for i := range t.NumField() {
		f := t.Field(i)
		if name, absent, _ := strings.Cut(f.Tag.Get("json"), ","); !f.Anonymous && absent == "" {
			names = append(names, name)
		}
	}
	return names
}
