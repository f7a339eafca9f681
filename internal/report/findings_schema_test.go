package report_test

import (
	"bytes"
	"sync"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// findingsSchema is resolved once: that takes longer than to hold a study's findings to it.
var findingsSchema = sync.OnceValues(func() (*jsonschema.Resolved, error) {
	schema, err := report.FindingsSchema()
	if err != nil {
		return nil, err
	}
	return schema.Resolve(nil)
})

// fitsSchema checks that the findings of a study fit their schema, which knows every field.
func fitsSchema(t *testing.T, s *study.Study, r *analysis.Result) {
	t.Helper()
	resolved, err := findingsSchema()
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := report.WriteJSON(&out, s, r); err != nil {
		t.Fatal(err)
	}
	if err := resolved.Validate(decode(t, out.Bytes())); err != nil {
		t.Errorf("findings do not fit their schema: %v", err)
	}
}
