package study

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestTrayKeysAreWrittenAsRead: what a file says of trays is read, written and read again;
// what is usual is left out.
func TestTrayKeysAreWrittenAsRead(t *testing.T) {
	usual := read(t, "../../testdata/study/triangle.yaml")
	said := parse(t, strings.Replace(usual, "  seed: 1", "  seed: 1\n  taste once: true\n  tray opens: first code", 1))
	if !said.Serving.TasteOnce || said.Serving.TrayOpens != ByFirstCode {
		t.Fatalf("read %+v", said.Serving)
	}
	if diff := cmp.Diff(said, parse(t, string(Format(said)))); diff != "" {
		t.Errorf("written and read again (-want +got):\n%s", diff)
	}
	s := parse(t, usual)
	if s.Serving.TasteOnce || s.Serving.TrayOpens != ByAllCodes {
		t.Errorf("what is usual: %+v", s.Serving)
	}
	if text := string(Format(s)); strings.Contains(text, "taste once") || strings.Contains(text, "tray opens") {
		t.Errorf("what is usual is written: %s", text)
	}
}
