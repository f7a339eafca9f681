package analysis_test

import (
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"cloche/internal/analysis"
)

// What is analysed at once is what is analysed one by one, people left out included.
func TestAnalyseAtOnceFindsTheSameAsOneByOne(t *testing.T) {
	s, ratings := wide(30, 4, 5)
	s.Plan.SmallestEffect = 10
	var some []analysis.Rating
	for i, r := range ratings {
		if i%7 != 0 {
			some = append(some, r)
		}
	}
	at := func(processors int) *analysis.Result {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		return analyse(t, s, some)
	}
	one, many := at(1), at(4)
	if len(one.Excluded) == 0 {
		t.Error("nobody is left out, so that this cannot go wrong")
	}
	if d := cmp.Diff(one, many, cmpopts.EquateNaNs()); d != "" {
		t.Error(d)
	}
}
