package verify

import "testing"

// doses are the values of ratios, equivalent doses and thresholds.
const doses = "../../testdata/reference/doses.json"

// thresholds are values of base R for curves through the answers of people.
const thresholds = "../../testdata/reference/thresholds.json"

func TestReferenceDoses(t *testing.T) {
	t.Parallel()
	checkFile(t, doses, 13, 187)
	checkFile(t, thresholds, 4, 30)
}
