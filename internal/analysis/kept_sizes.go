package analysis

import "sync"

// mostKeptSizes bounds what is kept of sizes.
const mostKeptSizes = 64

// kept keeps what was reckoned, by all that it was reckoned from: what is simulated or fitted for a
// size takes some tenths of a second, and is asked for again by the next page of the same study.
// Whoever asks finds the same as without it. The zero value is ready, and safe at once for many.
type kept[K comparable, V any] struct {
	mu sync.Mutex
	by map[K]V
}

// of is what find finds, or found before for the same key.
func (k *kept[K, V]) of(key K, find func() V) V {
	k.mu.Lock()
	v, ok := k.by[key]
	k.mu.Unlock()
	if ok {
		return v
	}
	v = find()
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.by == nil || len(k.by) >= mostKeptSizes {
		k.by = map[K]V{}
	}
	k.by[key] = v
	return v
}
