package help

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// TestListedWarningsAreRaised: every code in the list of warnings is a constant, or a warning's own word, in a program
// that gives it, and some test asks for it.
func TestListedWarningsAreRaised(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile("en/files.md")
	if err != nil {
		t.Fatal(err)
	}
	_, list, _ := strings.Cut(string(page), "## Warnings of these answers")
	list, _, _ = strings.Cut(list, "\n## ")
	raised, tried := warningsInCode(t)
	found := 0
	for row := range strings.Lines(list) {
		cell, _, _ := strings.Cut(strings.TrimPrefix(row, "|"), "|")
		for _, code := range regexp.MustCompile("`([a-z-]+)`").FindAllStringSubmatch(cell, -1) {
			if !strings.HasPrefix(row, "| `") {
				continue
			}
			found++
			if raised[code[1]] == 0 {
				t.Errorf("%s is listed, and no program gives it", code[1])
			}
			if !tried[code[1]] {
				t.Errorf("%s is listed, and no test asks for it", code[1])
			}
		}
	}
	if found < 30 {
		t.Errorf("only %d codes are listed", found)
	}
}

// warningsInCode counts by code where programs use it, beside where its constant is declared, and says whether a test
// does.
func warningsInCode(t *testing.T) (raised map[string]int, tried map[string]bool) {
	t.Helper()
	raised, tried = map[string]int{}, map[string]bool{}
	named := map[string]string{} // codes by constants
	var program, tests []*ast.File
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if strings.HasSuffix(path, "_test.go") {
			tests = append(tests, file)
			return err
		}
		program = append(program, file)
		ast.Inspect(file, func(n ast.Node) bool {
			if spec, ok := n.(*ast.ValueSpec); ok && len(spec.Values) == len(spec.Names) {
				for i, name := range spec.Names {
					if lit, ok := spec.Values[i].(*ast.BasicLit); ok && lit.Kind == token.STRING {
						named[name.Name], _ = strconv.Unquote(lit.Value)
					}
				}
			}
			return true
		})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	uses := func(files []*ast.File, use func(code string)) {
		for _, file := range files {
			declared := map[ast.Node]bool{}
			ast.Inspect(file, func(n ast.Node) bool {
				switch x := n.(type) {
				case *ast.ValueSpec:
					for _, name := range x.Names {
						declared[name] = true
					}
					for _, value := range x.Values {
						declared[value] = true
					}
				case *ast.Ident:
					if code, ok := named[x.Name]; ok && !declared[x] {
						use(code)
					}
				case *ast.BasicLit:
					if code, err := strconv.Unquote(x.Value); err == nil && x.Kind == token.STRING && !declared[x] {
						use(code)
					}
				}
				return true
			})
		}
	}
	uses(program, func(code string) { raised[code]++ })
	uses(tests, func(code string) { tried[code] = true })
	return raised, tried
}
