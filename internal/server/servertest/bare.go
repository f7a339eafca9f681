package servertest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/server/site"
	"cloche/internal/study"
	"cloche/web"
)

var (
	// inTemplate is a text that a template has translated.
	inTemplate = regexp.MustCompile(`\bt "((?:[^"\\]|\\.)*)"`)
	// action is what a template puts in; tag is one of HTML, whose actions are gone already.
	action = regexp.MustCompile(`(?s)\{\{.*?\}\}`)
	tag    = regexp.MustCompile(`(?s)<[^>]*>`)
	// told is an attribute that somebody reads or hears.
	told = regexp.MustCompile(`\b(?:aria-label|placeholder|title|alt)="([^"]*)"`)
	// word is one that stands in a text rather than in an address or a name.
	word = regexp.MustCompile(`\p{L}{2,}`)
)

// EveryTemplateText holds templates to saying everything in every language: no text and no
// attribute that is read stands outside `t`, but for those of allowed, and what stands in it is
// translated.
func EveryTemplateText(t *testing.T, allowed []string, patterns ...string) {
	t.Helper()
	for _, pattern := range patterns {
		names, err := fs.Glob(web.FS, pattern)
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: %d files, %v", pattern, len(names), err)
		}
		for _, name := range names {
			text, err := fs.ReadFile(web.FS, name)
			if err != nil {
				t.Fatal(err)
			}
			for _, bare := range bareTexts(string(text)) {
				if !slices.Contains(allowed, bare) {
					t.Errorf("%s says outside t: %s", name, bare)
				}
			}
			for _, m := range inTemplate.FindAllStringSubmatch(string(text), -1) {
				InEveryLanguage(t, name, strings.ReplaceAll(m[1], `\"`, `"`))
			}
		}
	}
}

// bareTexts are the texts of a template that nothing translates.
func bareTexts(template string) (bare []string) {
	html := action.ReplaceAllString(template, "")
	for _, m := range told.FindAllStringSubmatch(html, -1) {
		if word.MatchString(m[1]) {
			bare = append(bare, m[1])
		}
	}
	for _, text := range tag.Split(html, -1) {
		if text = strings.TrimSpace(text); word.MatchString(text) {
			bare = append(bare, text)
		}
	}
	return bare
}

// InEveryLanguage holds that a text that stands in English at a place is translated.
func InEveryLanguage(t *testing.T, place, text string) {
	t.Helper()
	for _, lang := range study.Spoken[1:] {
		if w := site.TongueIn(lang); text != "" && !w.Translates(text) && !w.InPaper(text) {
			t.Errorf("%s, not in %s: %s", place, lang, text)
		}
	}
}

// SaidTexts are the texts that the programs of a folder say by study.Say, and how the keys of a file
// are written.
func SaidTexts(t *testing.T, folder string) (all []string) {
	t.Helper()
	eachExpression(t, folder, nil, func(x ast.Expr) bool {
		call, ok := x.(*ast.CallExpr)
		if !ok {
			return true
		}
		at := map[string]int{"Say": 0, "required": 1}
		fun := call.Fun
		if of, ok := fun.(*ast.SelectorExpr); ok { // study.Say
			fun = of.Sel
		}
		if name, ok := fun.(*ast.Ident); ok {
			if i, says := at[name.Name]; says && i < len(call.Args) {
				if text, whole := folded(call.Args[i]); whole && word.MatchString(text) {
					all = append(all, text)
				}
			}
		}
		return true
	})
	slices.Sort(all)
	return slices.Compact(all)
}

// SourceTexts are the texts that stand in the programs of a folder, put together where they are
// written in several strings, each once and in order; but for those of some files.
func SourceTexts(t *testing.T, folder string, but ...string) (all []string) {
	t.Helper()
	eachExpression(t, folder, but, func(x ast.Expr) bool {
		text, whole := folded(x)
		if whole {
			all = append(all, text)
		}
		return !whole
	})
	slices.Sort(all)
	return slices.Compact(all)
}

// eachExpression visits the expressions of the programs of a folder, and those within one where visit
// says so.
func eachExpression(t *testing.T, folder string, but []string, visit func(ast.Expr) bool) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") || slices.Contains(but, filepath.Base(name)) {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			if _, ok := n.(*ast.ImportSpec); ok {
				return false
			}
			x, ok := n.(ast.Expr)
			return !ok || visit(x)
		})
	}
}

// folded is a text that stands in a source as one string or as several that are put together.
func folded(x ast.Expr) (string, bool) {
	switch x := x.(type) {
	case *ast.BasicLit:
		if x.Kind == token.STRING {
			text, err := strconv.Unquote(x.Value)
			return text, err == nil
		}
	case *ast.BinaryExpr:
		left, ok := folded(x.X)
		right, too := folded(x.Y)
		return left + right, ok && too && x.Op == token.ADD
	}
	return "", false
}
