package verify

import "testing"

// reference is the shared file of published and recomputed values.
const reference = "../../testdata/reference/reference.json"

func TestReferenceFile(t *testing.T) {
	report := File(reference)
	if report.Err != nil {
		t.Fatal(report.Err)
	}
	for _, r := range report.Results {
		if _, known := methods()[r.Method]; !known {
			continue
		}
		for _, d := range r.Failures {
			t.Errorf("%s (%s): %s", r.ID, r.Source, differenceLine(d))
		}
	}
}
