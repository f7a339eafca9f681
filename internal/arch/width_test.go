package arch_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// maxColumns is how wide a line of code may be, a tab counting as four.
const maxColumns = 120

// wide says how many lines of production code are wider: sentences that stand whole,
// mostly. A number here only ever goes down.
var wide = map[string]int{
	"cmd":                  8,
	"internal/analysis":    51,
	"internal/datapackage": 9,
	"internal/design":      5,
	"internal/method":      8,
	"internal/panel":       17,
	"internal/report":      48,
	"internal/server":      134,
	"internal/stats":       37,
	"internal/store":       54,
	"internal/study":       5,
	"internal/verify":      0,
	"internal/words":       135,
}

func TestLinesAreNoWiderThanAScreen(t *testing.T) {
	for dir, allowed := range wide {
		n, last, files := 0, "", 0
		err := filepath.WalkDir("../../"+dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
				return err
			}
			src, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			files++
			for line := range strings.Lines(strings.ReplaceAll(string(src), "\t", "    ")) {
				if utf8.RuneCountInString(strings.TrimSuffix(line, "\n")) > maxColumns {
					n, last = n+1, path+": "+strings.TrimSpace(line)
				}
			}
			return nil
		})
		if err != nil || files == 0 {
			t.Fatalf("%s: %d files, %v", dir, files, err)
		}
		if n > allowed {
			t.Errorf("%s has %d lines wider than %d columns, at most %d may be: %s", dir, n, maxColumns, allowed, last)
		}
	}
}
