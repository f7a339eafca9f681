package method_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/method"
)

func TestEveryMethodSaysWhatItIs(t *testing.T) {
	seen := map[method.ID]bool{}
	for _, m := range method.All() {
		if m.ID == "" || m.Title == "" || m.Source == "" || m.Use == "" || seen[m.ID] {
			t.Errorf("incomplete, or twice: %+v", m)
		}
		seen[m.ID] = true
		if strings.HasSuffix(m.Source, ".") {
			t.Errorf("%s: the source ends in a full stop, which its reader adds", m.ID)
		}
	}
}

// A title stands in the table alone: everything else asks for it. Package stats has
// words of its own for its errors and its docs, and tests say what they expect.
func TestTitlesAreSpelledOnce(t *testing.T) {
	found := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (path == filepath.Join("..", "stats") || path == filepath.Join("..", "verify")) {
			return fs.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		inTable := strings.HasPrefix(path, filepath.Join("..", "method"))
		for _, text := range literals(t, path) {
			for _, m := range method.All() {
				if m.Use != method.Test && m.Use != method.Adjustment || !strings.Contains(text, m.Title) {
					continue
				}
				if found++; !inTable {
					t.Errorf("%s spells %q out; ask package method for it: %q", path, m.Title, text)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if found < len(method.All())/2 {
		t.Errorf("found %d titles, not even those of the table", found)
	}
}

func literals(t *testing.T, path string) (texts []string) {
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			text, err := strconv.Unquote(lit.Value)
			if err != nil {
				t.Fatal(err)
			}
			texts = append(texts, text)
		}
		return true
	})
	return texts
}
