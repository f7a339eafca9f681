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

// widthHeld are the files that a person edits, but for templates: a break in one can show.
var widthHeld = map[string]bool{".go": true, ".R": true, ".py": true, ".js": true, ".css": true}

// What an example prints stands below it line by line, however wide.
func TestLinesAreNoWiderThanAScreen(t *testing.T) {
	for _, dir := range []string{"cmd", "internal", "testdata", "web"} {
		files := 0
		err := filepath.WalkDir("../../"+dir, func(path string, d fs.DirEntry, err error) error {
			if err == nil && (d.Name() == "node_modules" || d.Name() == "built") {
				return fs.SkipDir
			}
			if err != nil || !widthHeld[filepath.Ext(path)] {
				return err
			}
			src, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			files++
			for line := range strings.Lines(strings.ReplaceAll(string(src), "\t", "    ")) {
				printed := strings.HasSuffix(path, "example_test.go") &&
					strings.HasPrefix(strings.TrimSpace(line), "//")
				if utf8.RuneCountInString(strings.TrimSuffix(line, "\n")) > maxColumns && !printed {
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
