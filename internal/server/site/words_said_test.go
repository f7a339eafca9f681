package site

import (
	"testing"
	"time"

	"cloche/internal/words"
)

// What changes by the second is not told: the first minute is "just now".
func TestMinutesSaysTheFirstMinuteInWords(t *testing.T) {
	for d, want := range map[time.Duration]string{
		0: "just now", 59 * time.Second: "just now", time.Minute: "1 min", 3*time.Minute + 59*time.Second: "3 min",
	} {
		if got := Minutes(words.In("en"), d); got != want {
			t.Errorf("Minutes(%s) = %q, want %q", d, got, want)
		}
	}
}
