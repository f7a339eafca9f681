package server

import (
	"runtime"
	"testing"
)

// Templates of all screens in all languages at once took 70 MB; read, they take few until
// they are shown.
func TestPagesTakeLittleMemoryUntilShown(t *testing.T) {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	pages, err := sitePages(false)
	if err != nil {
		t.Fatal(err)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 10<<20 {
		t.Errorf("%d bytes for screens that nobody looked at", grown)
	}
	runtime.KeepAlive(pages)
}
