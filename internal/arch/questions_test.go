package arch

import (
	"cmp"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/study"
)

// ownFile is a file in which questions may be named: the one list of a package that names
// all, or a question's own, which names that one alone.
func ownFile(path string, named study.Question) bool {
	name := filepath.Base(path)
	own, ok := strings.CutPrefix(strings.TrimSuffix(name, ".go"), "question_")
	return name == "questions.go" || ok && own == fileNames.Replace(string(named))
}

// fileNames turns the id of a question into the name of its file.
var fileNames = strings.NewReplacer("-", "_", "2", "two", "3", "three")

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
			for _, m := range mentions(t, path, constants) {
				if !ownFile(path, m.question) {
					t.Errorf("%s: %s names a question; ask its value instead (study.QuestionKind)", m.at, m.text)
				}
			}
		}
	}
}

// TestNoPageNamesAQuestion holds the same for templates, scripts and tables.
func TestNoPageNamesAQuestion(t *testing.T) {
	seen := 0
	for _, dir := range []string{"../../web/templates", "../../web/static", "../store/migrations"} {
		err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() && d.Name() == "built" {
				return cmp.Or(err, fs.SkipDir)
			}
			if d.IsDir() || !slices.Contains([]string{".html", ".js", ".sql"}, filepath.Ext(path)) {
				return nil
			}
			seen++
			src, err := os.ReadFile(path)
			for _, named := range quoted.FindAllStringSubmatch(string(src), -1) {
				if id := study.Question(named[1]); id.Kind().ID != "" && !slices.Contains(wordsOfFiles, id) {
					t.Errorf("%s names the question %s", path, id)
				}
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if seen < 100 {
		t.Errorf("only %d files", seen)
	}
}

// quoted are words in quotes, of any kind.
var quoted = regexp.MustCompile("[\"'`]([a-z0-9-]+)[\"'`]")

// questionConstants are the constants that package study has for ids.
func questionConstants(t *testing.T) map[string]study.Question {
	t.Helper()
	names := map[string]study.Question{}
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
					text, _ := literal(v.Values[0])
					names[v.Names[0].Name] = study.Question(text)
				}
			}
		}
	}
	return names
}

// literal is the text of a string, and of strings that are added up.
func literal(n ast.Expr) (text string, ok bool) {
	switch n := n.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(n.Value)
		return text, err == nil && n.Kind == token.STRING
	case *ast.ParenExpr:
		return literal(n.X)
	case *ast.BinaryExpr:
		x, okX := literal(n.X)
		y, okY := literal(n.Y)
		return x + y, okX && okY && n.Op == token.ADD
	}
	return "", false
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

// mention is a place at which a question is named.
type mention struct {
	at, text string
	question study.Question
}

// mentions lists where a file names questions, whatever it calls package study.
func mentions(t *testing.T, path string, constants map[string]study.Question) []mention {
	t.Helper()
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return mentionsIn(t, path, src, constants)
}

func mentionsIn(t *testing.T, path string, src []byte, constants map[string]study.Question) (found []mention) {
	t.Helper()
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, src, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	calls, bare := "", filepath.Base(filepath.Dir(path)) == "study"
	for _, i := range file.Imports {
		if i.Path.Value != `"cloche/internal/study"` {
			continue
		}
		calls = "study"
		if i.Name != nil {
			calls, bare = i.Name.Name, i.Name.Name == "."
		}
	}
	inMethods := slices.ContainsFunc(methodFiles, func(dir string) bool {
		return strings.Contains(filepath.ToSlash(path), dir)
	})
	ast.Inspect(file, func(n ast.Node) bool {
		var question study.Question
		text := ""
		switch n := n.(type) {
		case *ast.SelectorExpr:
			if x, ok := n.X.(*ast.Ident); ok && x.Name == calls {
				text, question = n.Sel.Name, constants[n.Sel.Name]
			}
		case *ast.Ident:
			if bare {
				text, question = n.Name, constants[n.Name]
			}
		case ast.Expr:
			if s, ok := literal(n); ok && !inMethods {
				if id := study.Question(s); id.Kind().ID != "" && !slices.Contains(wordsOfFiles, id) {
					text, question = s, id
				}
			}
		}
		if question != "" {
			found = append(found, mention{set.Position(n.Pos()).String(), text, question})
		}
		return true
	})
	return found
}

// TestNamedQuestionsAreFound holds that the check above sees a constant and an id, however
// they are written, and whose file it is.
func TestNamedQuestionsAreFound(t *testing.T) {
	constants := questionConstants(t)
	for src, want := range map[string]int{
		`import "cloche/internal/study"; var x = study.Tetrad`:               1,
		`import s "cloche/internal/study"; var x = s.RankingByLiking`:        1,
		`import . "cloche/internal/study"; var x = []Question{Tetrad}`:       1,
		`var x = "ranking-by-attribute"`:                                     1,
		"var x = `tetrad`":                                                   1,
		`var x = "tet" + ("r" + "ad")`:                                       1,
		`import "cloche/internal/study"; var x = study.Tetrad == "triangle"`: 2,
		`type Tetrad int; var x = "names"`:                                   0,
	} {
		if got := mentionsIn(t, "x/y.go", []byte("package y\n"+src), constants); len(got) != want {
			t.Errorf("%s: %v, want %d", src, got, want)
		}
	}
	for _, id := range study.Questions() {
		own := filepath.Join("../study/question_" + fileNames.Replace(string(id)) + ".go")
		if got := mentions(t, own, constants); len(got) == 0 || got[0].question != id {
			t.Errorf("%s: got %v", own, got)
		}
		if ownFile("../analysis/question_other.go", id) || ownFile("../analysis/analyse.go", id) {
			t.Errorf("%s may be named elsewhere", id)
		}
	}
}
