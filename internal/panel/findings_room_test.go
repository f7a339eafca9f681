package panel

import (
	"fmt"
	"testing"
)

// TestFindingsOfFewStudiesAreKept: those looked at last, and none that was forgotten.
func TestFindingsOfFewStudiesAreKept(t *testing.T) {
	var k keptFindings
	for i := range mostKept + 3 {
		k.place(StudyID(fmt.Sprint(i)))
		k.place("0")
	}
	if len(k.all) != mostKept || k.index("0") != 0 || k.index("1") >= 0 ||
		k.index(StudyID(fmt.Sprint(mostKept+2))) != 1 {
		t.Errorf("%d kept, the first at %d", len(k.all), k.index("0"))
	}
	k.forget("0")
	k.forget("0")
	if len(k.all) != mostKept-1 || k.index("0") >= 0 {
		t.Errorf("forgotten, it is kept: %d", len(k.all))
	}
}
