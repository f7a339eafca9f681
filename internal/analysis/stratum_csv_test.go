package analysis_test

import (
	"bytes"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
)

// A column of strata is read and written back, and an assessor is in one of them.
func TestStrataInRatings(t *testing.T) {
	s := panelOf(2)
	ratings := paired([]float64{1, 2}, []float64{3, 4})
	for i := range ratings {
		ratings[i].Stratum = []string{"regular", "=new"}[i/2]
	}
	var out bytes.Buffer
	if err := analysistest.WriteCSV(&out, s, ratings); err != nil {
		t.Fatal(err)
	}
	got, problems := analysis.ReadCSV("r.csv", bytes.NewReader(out.Bytes()), s, nil)
	if len(problems) > 0 || len(got) != len(ratings) {
		t.Fatalf("%v of\n%s", problems, out.String())
	}
	for i := range got {
		if got[i].Stratum != ratings[i].Stratum {
			t.Errorf("rating %d: stratum %q, want %q", i, got[i].Stratum, ratings[i].Stratum)
		}
	}
	mixed := "assessor,position,dish,name,attribute,value,stratum\n1,1,dishA,,salt,5,regular\n1,2,dishB,,salt,6,new\n"
	_, problems = analysis.ReadCSV("r.csv", strings.NewReader(mixed), s, nil)
	const want = `r.csv:3:19: assessor 1 is in stratum "new" here, but in "regular" in line 2; write the same ` +
		`stratum in all rows of an assessor`
	if len(problems) != 1 || problems[0].Error() != want {
		t.Errorf("got %v, want %s", problems, want)
	}
}
