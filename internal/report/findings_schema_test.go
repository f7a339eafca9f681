package report_test

import (
	"bytes"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// fitsSchema checks that the findings of a study fit their schema, which knows every field.
func fitsSchema(t *testing.T, s *study.Study, r *analysis.Result) {
	t.Helper()
	schema, err := report.FindingsSchema()
	if err != nil {
		t.Fatal(err)
	}
	resolved, err := schema.Resolve(nil)
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
