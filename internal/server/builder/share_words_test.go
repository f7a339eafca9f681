package builder

import (
	"testing"

	"cloche/internal/server/site"
)

// TestSharesAreNeverToldSmaller: a share that a panel needs is rounded up, and nearly all is not
// called all.
func TestSharesAreNeverToldSmaller(t *testing.T) {
	b := &builder{tongue: site.TongueIn("en")}
	for share, want := range map[float64]string{0.7: "70 of 100", 0.711: "72 of 100", 0.99: "99 of 100",
		0.996: "more than 99 of 100", 1: "100 of 100"} {
		if got := b.shareWords(share); got != want+" choose the same one" {
			t.Errorf("%v reads as %q", share, got)
		}
	}
}
