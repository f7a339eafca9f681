package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/store"
)

// TestLogCommand: a whole log is well and prints its end; a cut one is told from an end that was noted.
func TestLogCommand(t *testing.T) {
	database := filepath.Join(t.TempDir(), "cloche.db")
	appendTo := func(n int) (ends []panel.LogEnd) {
		kept, err := store.Open(t.Context(), database)
		fatal(t, err)
		defer func() { fatal(t, kept.Close()) }()
		for i := range n {
			fatal(t, kept.AppendEvent(t.Context(), panel.Event{At: time.Now(), Who: "lead",
				What: fmt.Sprint("did ", i)}))
			_, end, err := kept.Entries(t.Context(), "")
			fatal(t, err)
			ends = append(ends, end)
		}
		return ends
	}
	ends := appendTo(3)
	other := panel.LogEnd{Number: 2, Hash: ends[0].Hash}
	for _, tc := range []struct {
		args []string
		want int
		says string
	}{
		{nil, exitDone, "well   the service’s log: whole up to " + ends[2].String()},
		{[]string{"--noted", ends[1].String()}, exitDone, "well   the service’s log: whole up to 3:"},
		{[]string{"--noted", other.String()}, exitInput,
			"WRONG  the service’s log: entry 2 is not the one that was noted"},
		{[]string{"--noted", "9:" + ends[0].Hash}, exitInput, "entry 9 was noted down and is not there"},
		{[]string{"--noted", "nonsense"}, exitInput, ""},
		{[]string{"--study", "none"}, exitInput, "log of study none: it is missing"},
		{[]string{"--lines"}, exitDone, "\tlead\tdid 2\t\t" + ends[2].Hash + "\n"},
	} {
		code, out, errors := command(t, append([]string{"log", "--database", database}, tc.args...)...)
		if code != tc.want || !strings.Contains(out, tc.says) {
			t.Errorf("log %v: code %d, %q, %q", tc.args, code, out, errors)
		}
	}
}
