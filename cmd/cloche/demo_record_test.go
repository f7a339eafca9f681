package main

import (
	"path/filepath"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/store"
)

// The demo's record has its own evening and, by their data packages, those of three other houses; together they hold
// what is true of all.
func TestTheDemosRecord(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	kept, err := store.Open(t.Context(), filepath.Join(dir, "demo.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	if _, err := setTable(t.Context(), kept); err != nil {
		t.Fatal(err)
	}
	svc, err := panel.New(t.Context(), kept, panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := joinEvenings(t.Context(), svc, dir); err != nil {
		t.Fatal(err)
	}
	all, err := svc.Record(t.Context(), panel.Session{Role: panel.RoleLead})
	if err != nil {
		t.Fatal(err)
	}
	evenings, truth := analysis.CustardEvenings(), 0.
	for _, e := range evenings {
		truth += e.Saltier / float64(len(evenings))
	}
	if len(all) != 1 || len(all[0].Kept) != len(evenings) || all[0].Together == nil {
		t.Fatalf("the record has %d questions: %+v", len(all), all)
	}
	for i, k := range all[0].Kept { // the oldest first
		if want := evenings[len(evenings)-1-i].House; k.House != want {
			t.Errorf("evening %d is of %q, want %q", i+1, k.House, want)
		}
	}
	if ci := all[0].Together.CI; ci.Lo <= 0 || ci.Lo > truth || ci.Hi < truth {
		t.Errorf("the truth is %v, the record says %v", truth, ci)
	}
}
