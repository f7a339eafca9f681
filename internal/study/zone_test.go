package study

import (
	"strings"
	"testing"
	"time"
)

// TestZones: one that is known is kept; one that is nearly known is told by its name, and another
// how zones are named. Every zone of the list is one that the program can count in.
func TestZones(t *testing.T) {
	for written, want := range map[string]string{
		"Asia/Tokyo": "", "UTC": "",
		"Europe/Brelin": "write Europe/Berlin",
		"CET 1":         "the region and a city of it", "[a, b]": "the region and a city of it",
	} {
		src := strings.Replace(read(t, "../../testdata/study/names.yaml"), "serving:\n",
			"serving:\n  time zone: "+written+"\n", 1)
		s, problems := Read("names.yaml", []byte(src))
		if want == "" && (len(problems) > 0 || s.Serving.Zone != written) {
			t.Errorf("%s: %v", written, problems)
		}
		if want != "" && (len(problems) != 1 || !strings.Contains(problems[0].Error(), want)) {
			t.Errorf("%s: %v, want %q", written, problems, want)
		}
	}
	for _, name := range strings.Fields(zoneNames) {
		if _, err := time.LoadLocation(name); err != nil {
			t.Error(err)
		}
	}
}
