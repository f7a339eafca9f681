package analysis_test

import (
	"testing"

	"cloche/internal/analysis"
)

// Beside the other ways the question itself needs what its own size says, on as many sides as
// planned.
func TestOwnWayIsTheSizeItself(t *testing.T) {
	for _, file := range []string{"saltier-of-two", "smokiest-of-three"} {
		s := parseStudy(t, "../../studies/"+file+".yaml")
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(err)
		}
		q.Distance, q.Each = 0.9, analysis.Part{Count: 1, Of: 1}
		z := findSize(t, q)
		if own := z.Ways[0]; !own.Own || own.Needed != z.Needed.Assessors || own.Needed == 0 {
			t.Errorf("%s: %d are needed, and %d beside the other ways", file, z.Needed.Assessors, own.Needed)
		}
	}
}
