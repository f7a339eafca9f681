package panel_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
)

// chainOf is a log of so many entries and its end.
func chainOf(n int) ([]panel.Entry, panel.LogEnd) {
	var all []panel.Entry
	var end panel.LogEnd
	for i := range n {
		var e panel.Entry
		e, end = end.Next(panel.Event{At: time.Date(2026, 6, 1, 12, i, 0, 0, time.UTC), StudyID: "s", Who: "lead",
			What: "did", Detail: fmt.Sprint("thing ", i+1)})
		all = append(all, e)
	}
	return all, end
}

func TestLogFaults(t *testing.T) {
	anew := func(all []panel.Entry, from int) { // as who knows how would make hashes anew
		for i := from; i < len(all); i++ {
			if i > 0 {
				all[i].Before = all[i-1].Hash
			}
			all[i].Number = i + 1
			all[i].Hash = all[i].Sum()
		}
	}
	for _, tc := range []struct {
		name   string
		tamper func(all []panel.Entry, end *panel.LogEnd) []panel.Entry
		want   string
	}{
		{"nothing", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry { return all }, ""},
		{"nothing was ever logged", func(_ []panel.Entry, end *panel.LogEnd) []panel.Entry {
			*end = panel.LogEnd{}
			return nil
		}, ""},
		{"a line changed", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry {
			all[2].Who = "partner"
			return all
		}, "entry 3 was changed"},
		{"a moment changed", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry {
			all[0].At = all[0].At.Add(time.Microsecond)
			return all
		}, "entry 1 was changed"},
		{"a line changed, with its hash", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry {
			all[2].Who = "partner"
			all[2].Hash = all[2].Sum()
			return all
		}, "entry 4 does not follow the one before it, which was changed or is not the one that was written"},
		{"all hashes made anew from there", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry {
			all[2].Who = "partner"
			anew(all, 2)
			return all
		}, "entry 5 is not the last one that was written"},
		{"a line taken out", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry {
			return slices.Delete(all, 1, 2)
		}, "entry 2 is missing"},
		{"two lines taken out", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry {
			return slices.Delete(all, 1, 3)
		}, "entries 2 to 3 are missing"},
		{"the first taken out", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry { return all[1:] },
			"entry 1 is missing"},
		{"a line taken out, the others numbered anew", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry {
			all = slices.Delete(all, 1, 2)
			for i := range all {
				all[i].Number = i + 1
			}
			return all
		}, "entry 2 is the one that was written as number 3: it was moved; entry 3 is the one that was written as " +
			"number 4: it was moved; entry 4 is the one that was written as number 5: it was moved; " +
			"the end is cut off: it goes to entry 4, and 5 were written"},
		{"two lines in each other's place", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry {
			all[1], all[2] = all[2], all[1]
			all[1].Number, all[2].Number = 2, 3
			return all
		}, "entry 2 is the one that was written as number 3: it was moved; entry 3 is the one that was written as " +
			"number 2: it was moved; entry 4 does not follow"},
		{"the end cut off", func(all []panel.Entry, _ *panel.LogEnd) []panel.Entry { return all[:3] },
			"the end is cut off: it goes to entry 3, and 5 were written"},
		{"all taken out", func([]panel.Entry, *panel.LogEnd) []panel.Entry { return nil },
			"the end is cut off: it goes to entry 0, and 5 were written"},
		{"a line added behind", func(all []panel.Entry, end *panel.LogEnd) []panel.Entry {
			e, _ := end.Next(all[0].Event)
			return append(all, e)
		}, "it goes to entry 6, and only 5 were written by the service"},
		{"the end cut off with what is kept of it: not to be seen here", func(all []panel.Entry,
			end *panel.LogEnd) []panel.Entry {
			*end = panel.LogEnd{Number: 3, Hash: all[2].Hash}
			return all[:3]
		}, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			all, end := chainOf(5)
			var faults []string
			for _, x := range panel.LogFaults(tc.tamper(all, &end), end) {
				faults = append(faults, x.String())
			}
			got := strings.Join(faults, "; ")
			if got != tc.want && (tc.want == "" || !strings.HasPrefix(got, tc.want)) {
				t.Errorf("found %q, want %q", got, tc.want)
			}
		})
	}
}

// TestNotedLogEnd: what the database alone cannot show, an end that was noted does.
func TestNotedLogEnd(t *testing.T) {
	all, end := chainOf(5)
	noted, err := panel.ParseLogEnd(" " + strings.ToUpper(end.String()) + "\n")
	if err != nil || noted != end {
		t.Fatalf("read back as %v, %v", noted, err)
	}
	if fault := noted.FaultIn(all); fault.Text != "" {
		t.Error(fault)
	}
	more, _ := end.Next(all[0].Event)
	if fault := noted.FaultIn(append(all, more)); fault.Text != "" {
		t.Errorf("once the log has gone on: %s", fault)
	}
	if fault := noted.FaultIn(all[:4]); !strings.Contains(fault.String(), "is not there") {
		t.Errorf("cut off: %q", fault)
	}
	all[4].Hash = all[3].Hash
	if fault := noted.FaultIn(all); !strings.Contains(fault.String(), "replaced") {
		t.Errorf("made anew: %q", fault)
	}
	for _, bad := range []string{"", "5", "5:", ":" + end.Hash, "0:" + end.Hash, "-1:" + end.Hash, "5:" + end.Hash[1:],
		"5:" + end.Hash[1:] + "g"} {
		if _, err := panel.ParseLogEnd(bad); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

// TestLogLine holds the form that help and command state: another program can check it.
func TestLogLine(t *testing.T) {
	first, end := panel.LogEnd{}.Next(panel.Event{At: time.Date(2026, 6, 1, 14, 0, 0, 5000,
		time.FixedZone("CEST", 7200)), Who: "lead", What: "said", Detail: "a\tb\\n\nc"})
	line := "\t1\t2026-06-01T12:00:00.000005Z\t\tlead\tsaid\ta\\tb\\\\n\\nc"
	if first.Line() != line {
		t.Errorf("line %q, want %q", first.Line(), line)
	}
	sum := sha256.Sum256([]byte(line))
	if end.Hash != hex.EncodeToString(sum[:]) || end.Number != 1 {
		t.Errorf("end %v", end)
	}
	text := panel.CheckedLog{Entries: []panel.Entry{first}}.Text()
	if text != line+"\t"+end.Hash+"\n" {
		t.Errorf("file %q", text)
	}
}
