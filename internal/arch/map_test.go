package arch_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The map of DEVELOPERS.md has every room, so that a newcomer finds the one for a change: each command, each
// package of internal, each room of server.
func TestTheMapHasEveryRoom(t *testing.T) {
	document, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(document), "## Map")
	drawn, _, _ := strings.Cut(rest, "## How to add")
	rooms := 0
	for _, house := range []struct{ dir, indent string }{{"cmd", "\ncmd/"}, {"internal", "\n  "},
		{"internal/server", "\n    "}} {
		inside, err := os.ReadDir(filepath.Join("../..", house.dir))
		if err != nil {
			t.Fatal(err)
		}
		for _, room := range inside {
			if !room.IsDir() || room.Name() == "testdata" {
				continue
			}
			rooms++
			if !strings.Contains(drawn, house.indent+room.Name()+"/") {
				t.Errorf("%s/%s is in no line of the map", house.dir, room.Name())
			}
		}
	}
	if rooms < 25 {
		t.Errorf("only %d rooms found", rooms)
	}
}
