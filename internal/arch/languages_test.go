package arch_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"cloche/internal/study"
)

// A language stands in its file of pages' words, its file in study, the list of
// languages, and beside the questions that say their own words: nothing else knows
// one language from another.
func TestLanguagesStandInTheirFiles(t *testing.T) {
	others := strings.Join(study.Spoken[1:], "|")
	tag := regexp.MustCompile(`"(` + others + `)":|[!=]= "(` + others + `)"`)
	home := regexp.MustCompile(`internal/(words/\w+|study/language_[a-z]+|study/question_\w+)\.go$`)
	seen := 0
	for _, dir := range []string{"../../cmd", "../../internal"} {
		err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
				return err
			}
			src, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			found := tag.Find(src)
			switch {
			case home.MatchString(filepath.ToSlash(path)):
				seen++
			case found != nil:
				t.Errorf("%s knows a language by its tag: %s", path, found)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if seen < 2*len(study.Spoken) {
		t.Errorf("only %d files of languages", seen)
	}
}
