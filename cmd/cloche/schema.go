package main

import (
	"encoding/json"
	"fmt"

	"github.com/google/jsonschema-go/jsonschema"
	"github.com/spf13/cobra"

	"cloche/internal/report"
	"cloche/internal/study"
)

// schemas are the documents that have one, by name.
var schemas = map[string]func() (*jsonschema.Schema, error){
	"study":    func() (*jsonschema.Schema, error) { return study.Schema(), nil },
	"plan":     planSchema,
	"findings": report.FindingsSchema,
}

// newSchemaCommand makes “cloche schema”.
func newSchemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "schema study|plan|findings",
		Short: "Print the JSON Schema of a study file, a plan or findings",
		Long: "Schema prints a JSON Schema (draft 2020-12):\n\n" +
			"  study     of a study file, for an editor that completes and checks it while you write;\n" +
			"            what several lines say together only “cloche check” knows\n" +
			"  plan      of the key that “cloche plan --format json” writes\n" +
			"  findings  of the findings that “cloche analyse --format json” writes",
		Example: "  cloche schema study > study.schema.json",
		Args: func(cmd *cobra.Command, args []string) error {
			if err := cobra.ExactArgs(1)(cmd, args); err != nil {
				return err
			}
			if _, ok := schemas[args[0]]; !ok {
				return fmt.Errorf("there is no schema of %q; write study, plan or findings", args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			s, err := schemas[args[0]]()
			if err != nil {
				return err
			}
			out := json.NewEncoder(cmd.OutOrStdout())
			out.SetIndent("", "  ")
			out.SetEscapeHTML(false)
			return out.Encode(s)
		},
	}
}

// planSchema is the JSON Schema of a key, made from its type.
func planSchema() (*jsonschema.Schema, error) {
	s, err := jsonschema.For[keyJSON](nil)
	if err != nil {
		return nil, err
	}
	s.Schema, s.Title = "https://json-schema.org/draft/2020-12/schema", "Serving plan of Cloche, with its key"
	return s, nil
}
