package arch_test

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
)

var (
	citedDocument = regexp.MustCompile(`[\w-]+\.md\b`)
	citedTest     = regexp.MustCompile("`(Test[A-Z]\\w+)`")
	someTest      = regexp.MustCompile(`(?m)^func (Test[A-Z]\w+)\(t `)
	citedIssue    = regexp.MustCompile(`(?i)\bissues? (no\. ?|number )?#?[0-9]+\b`)
)

// Comments and documents cite documents and tests that are here, and no issue by its number:
// whoever reads them may have nothing but the repository.
func TestDocumentsCiteWhatIsHere(t *testing.T) {
	texts := map[string][]byte{}
	documents := map[string]bool{}
	for _, dir := range []string{"../../cmd", "../../internal", "../../web/templates", "../../studies",
		"../../testdata"} {
		readTexts(t, dir, texts, documents)
	}
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		src, err := os.ReadFile("../../" + name)
		if err != nil {
			t.Fatal(err)
		}
		texts[name], documents[name] = src, true
	}
	if len(texts) < 300 {
		t.Fatalf("only %d files read", len(texts))
	}
	tests := map[string]bool{}
	for _, src := range texts {
		for _, found := range someTest.FindAllSubmatch(src, -1) {
			tests[string(found[1])] = true
		}
	}
	for name, src := range texts {
		for _, cited := range citedTest.FindAllSubmatch(src, -1) {
			if filepath.Ext(name) == ".md" && !tests[string(cited[1])] {
				t.Errorf("%s cites %s, and there is no such test", name, cited[1])
			}
		}
		for _, cited := range citedDocument.FindAll(src, -1) {
			if !documents[string(cited)] {
				t.Errorf("%s cites %s, which is not in the repository", name, cited)
			}
		}
		if issue := citedIssue.Find(src); issue != nil {
			t.Errorf("%s cites %q; say the thing itself", name, issue)
		}
	}
}

// readTexts reads the files of a directory that people write, and notes which of
// them are documents.
func readTexts(t *testing.T, dir string, texts map[string][]byte, documents map[string]bool) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Base(path) == "cited_test.go" {
			return err
		}
		if !slices.Contains([]string{".go", ".md", ".yaml", ".html", ".sql", ".R", ".sh"}, filepath.Ext(path)) {
			return nil
		}
		src, err := os.ReadFile(path)
		if err != nil || bytes.IndexByte(src, 0) >= 0 {
			return err
		}
		texts[path] = src
		documents[filepath.Base(path)] = documents[filepath.Base(path)] || filepath.Ext(path) == ".md"
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
