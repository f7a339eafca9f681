package study

import (
	"strings"
	"testing"
)

// The order of answers is tested on scales of seven labels at most.
func TestOrdinalFitsScalesOfFewLabels(t *testing.T) {
	text := read(t, "../../studies/celeriac-custard.yaml")
	for _, tc := range []struct {
		attribute string
		want      int
	}{{"smoothness", 0}, {"saltiness", 1}, {"liking", 1}} {
		file := strings.Replace(text, "attribute: saltiness\n  test: "+
			"paired-t", "attribute: "+tc.attribute+"\n  test: ordinal", 1)
		file = strings.Replace(file, "smallest effect: 5", "smallest effect: 1", 1)
		s, problems := Parse("s.yaml", []byte(file))
		if len(problems) != tc.want || tc.want > 0 && (problems[0].Instead.String() == "" ||
			!strings.Contains(problems[0].What.String(), "7 labels at most")) {
			t.Errorf("%s: %v", tc.attribute, problems)
		}
		if tc.want == 0 && s.Plan.Test != Ordinal {
			t.Errorf("read %+v", s.Plan)
		}
	}
}
