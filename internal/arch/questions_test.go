package arch

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/study"
)

// ownFile is a file in which a question may be named: its own, or the one list of a
// package that names all.
func ownFile(path string) bool {
	name := filepath.Base(path)
	return strings.HasPrefix(name, "question_") || name == "questions.go"
}

// wordsOfFiles are ids of questions that a study file has as keys too, so that a
// string like them says nothing.
var wordsOfFiles = []study.Question{"names", "samples"}

// methodFiles hold the names of the methods of the literature, which are those of some
// questions; they know no studies.
var methodFiles = []string{"internal/stats/", "internal/verify/"}

// TestNothingElseNamesAQuestion holds that a new question touches a file of its own in
// each package and the one list there: nothing else mentions the constant or the id of
// any.
func TestNothingElseNamesAQuestion(t *testing.T) {
	constants := questionConstants(t)
	if len(constants) != len(study.Questions()) {
		t.Fatalf("%d constants for %d questions: %v", len(constants), len(study.Questions()), constants)
	}
	for _, dir := range []string{"internal", "cmd"} {
		for _, path := range productionFiles(t, filepath.Join("../..", dir)) {
			if ownFile(path) {
				continue
			}
			for _, m := range mentions(t, path, constants) {
				t.Errorf("%s names a question; ask its value instead (study.QuestionKind)", m)
			}
		}
	}
}

// questionConstants are the names of the constants that package study has for ids.
func questionConstants(t *testing.T) []string {
	t.Helper()
	var names []string
	for _, path := range productionFiles(t, "../study") {
		file := parse(t, path)
		for _, d := range file.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.CONST {
				continue
			}
			for _, spec := range g.Specs {
				v := spec.(*ast.ValueSpec)
				if id, ok := v.Type.(*ast.Ident); ok && id.Name == "Question" {
					names = append(names, v.Names[0].Name)
				}
			}
		}
	}
	return names
}

// productionFiles are the Go files under a folder that are no tests and no fixtures of
// tests.
func productionFiles(t *testing.T, root string) []string {
	t.Helper()
	var files []string
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "testdata" || strings.HasSuffix(d.Name(), "test") && d.Name() != "test") {
			return filepath.SkipDir
		}
		if strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go") {
			files = append(files, path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func parse(t *testing.T, path string) *ast.File {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// mentions lists where a file names a question.
func mentions(t *testing.T, path string, constants []string) []string {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	inStudy := filepath.Base(filepath.Dir(path)) == "study"
	inMethods := slices.ContainsFunc(methodFiles, func(dir string) bool {
		return strings.Contains(filepath.ToSlash(path), dir)
	})
	var found []string
	ast.Inspect(file, func(n ast.Node) bool {
		named := ""
		switch n := n.(type) {
		case *ast.SelectorExpr:
			if x, ok := n.X.(*ast.Ident); ok && x.Name == "study" && slices.Contains(constants, n.Sel.Name) {
				named = n.Sel.Name
			}
		case *ast.Ident:
			if inStudy && slices.Contains(constants, n.Name) {
				named = n.Name
			}
		case *ast.BasicLit:
			if text, err := strconv.Unquote(n.Value); err == nil && n.Kind == token.STRING && !inMethods {
				if id := study.Question(text); id.Kind().ID != "" && !slices.Contains(wordsOfFiles, id) {
					named = text
				}
			}
		}
		if named != "" {
			found = append(found, set.Position(n.Pos()).String()+": "+named)
		}
		return true
	})
	return found
}

// TestNamedQuestionsAreFound holds that the check above sees a constant and an id.
func TestNamedQuestionsAreFound(t *testing.T) {
	if got := mentions(t, "../study/question_triangle.go", []string{"Triangle"}); len(got) < 2 {
		t.Errorf("got %v", got)
	}
	if got := mentions(t, "../design/question_triangle.go", []string{"Triangle"}); len(got) != 1 {
		t.Errorf("got %v", got)
	}
}
