package server_test

import (
	"strconv"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestTheDrawnSeedStaysShut reads every byte that lead and partner can fetch of a
// study before its close. Whoever has the seed can draw the key.
func TestTheDrawnSeedStaysShut(t *testing.T) {
	f := servertest.New(t)
	readers := map[string]*servertest.Visitor{"lead": f.Lead(), "partner": f.Partner()}
	for _, state := range []panel.State{panel.Locked, panel.Open, panel.Closed} {
		id, join := f.InState(servertest.Unseeded, state)
		stored, err := f.Svc.Study(t.Context(), id)
		f.Must(err)
		seed, seen := strconv.FormatUint(stored.Lock.Seed, 10), 0
		for who, v := range readers {
			for _, a := range accessTable {
				if a.method != "GET" || !strings.HasPrefix(a.path, "/studies") {
					continue
				}
				p := v.First("GET", fill(a.path, id, join, "none"))
				if !strings.Contains(p.All()+p.Unpacked(), seed) {
					continue
				}
				if seen++; state != panel.Closed {
					t.Errorf("%s: %s reads the seed at %s", state, who, a.path)
				}
			}
		}
		if state == panel.Closed && seen == 0 {
			t.Error("after close nobody reads the seed: this test looks for the wrong thing")
		}
	}
}
