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

func TestLinesAreNoWiderThanAScreen(t *testing.T) {
	for _, dir := range []string{"cmd", "internal"} {
		files := 0
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
					t.Errorf("%s: wider than %d columns: %s", path, maxColumns, strings.TrimSpace(line))
				}
			}
			return nil
		})
		if err != nil || files == 0 {
			t.Fatalf("%s: %d files, %v", dir, files, err)
		}
	}
}
