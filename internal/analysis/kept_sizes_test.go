package analysis

import "testing"

// TestSizesAreKept: what was reckoned once is not again, however many others there are.
func TestSizesAreKept(t *testing.T) {
	var k kept[int, int]
	reckoned := 0
	square := func(n int) int {
		return k.of(n, func() int { reckoned++; return n * n })
	}
	for n := range 3 * mostKeptSizes {
		for range 2 {
			if got := square(n); got != n*n {
				t.Fatalf("of %d: %d", n, got)
			}
		}
		if reckoned != n+1 || len(k.by) > mostKeptSizes {
			t.Fatalf("%d reckoned of %d, %d kept", reckoned, n+1, len(k.by))
		}
	}
}
