package verify

import "testing"

// doses are the values of ratios, equivalent doses and thresholds.
const doses = "../../testdata/reference/doses.json"

func TestReferenceDoses(t *testing.T) {
	t.Parallel()
	checkFile(t, doses, 13)
}
