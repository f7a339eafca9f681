package panel

import (
	"sync"
	"time"
)

// MaxJoins is how many people may join from one address within a minute, so that
// one person cannot take every place by a script. A whole dining room may be behind
// one address; a coach party that scans at once fits in. Common practice, no source.
const MaxJoins = 60

// arrivals counts who joins, by address and minute.
type arrivals struct {
	mu     sync.Mutex
	minute time.Time
	from   map[string]int
}

// admits counts one more from an address, and reports whether that is few enough.
func (a *arrivals) admits(from string, now time.Time) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	if minute := now.Truncate(time.Minute); !minute.Equal(a.minute) {
		a.minute, a.from = minute, map[string]int{} // what was before is forgotten
	}
	if _, known := a.from[from]; !known && len(a.from) >= maxTries {
		return true // strangers fill the memory no further; places still run out one by one
	}
	a.from[from]++
	return a.from[from] <= MaxJoins
}
