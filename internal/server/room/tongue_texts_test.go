package room

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

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
	"cloche/web"
)

// inTemplate is a text that a template has translated.
var inTemplate = regexp.MustCompile(`\bt "((?:[^"\\]|\\.)*)"`)

// templateTexts are the texts of the pages that staff read.
func templateTexts(t *testing.T) (all []string) {
	t.Helper()
	for _, pattern := range []string{"templates/room/*.html", "templates/layout/*.html", "templates/site/*.html"} {
		names, err := fs.Glob(web.FS, pattern)
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: %d files, %v", pattern, len(names), err)
		}
		for _, name := range names {
			text, err := fs.ReadFile(web.FS, name)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range inTemplate.FindAllStringSubmatch(string(text), -1) {
				all = append(all, m[1])
			}
		}
	}
	return all
}

// folded is a text that stands in a source as one string or as several that are put together; "" when
// the expression is none.
func folded(x ast.Expr) string {
	switch x := x.(type) {
	case *ast.BasicLit:
		text, _ := strconv.Unquote(x.Value) // no string: then nothing
		return text
	case *ast.BinaryExpr:
		return folded(x.X) + folded(x.Y)
	}
	return ""
}

// sourceTexts are the texts that programs have translated where they stand.
func sourceTexts(t *testing.T) (all []string) {
	t.Helper()
	files, err := filepath.Glob("../*/*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			if of, ok := call.Fun.(*ast.SelectorExpr); ok {
				switch of.Sel.Name {
				case "Translate":
					all = append(all, folded(call.Args[0]))
				case "StaffFrameFor":
					all = append(all, folded(call.Args[2]))
				}
			}
			return true
		})
	}
	return all
}

// tableTexts are the texts of the tables here, and the words of others that pages put in.
func tableTexts() (all []string) {
	for _, row := range standings {
		all = append(all, row.Told, row.Mark, row.Note, row.Bars, row.First)
		for _, forms := range []*oneOrTray{row.Known, row.Sealed} {
			if forms != nil {
				all = append(all, forms[:]...)
			}
		}
	}
	for _, act := range floorActs {
		all = append(append(all, act.Says), act.Card...)
		if act.Text != nil {
			all = append(all, act.Text[:]...)
		}
	}
	for _, text := range told {
		all = append(all, text)
	}
	for _, what := range panel.Incidents() {
		all = append(all, what.Words())
	}
	for _, tag := range study.Spoken {
		all = append(all, study.LanguageName(tag))
	}
	all = append(all, reasons...)
	all = append(all, farAbove, farBelow)
	for _, f := range gridFields {
		all = append(all, f.Label)
	}
	return append(all, "Waiting", "Tasting", "Every seat", "now", "at the pass", "next", "later", "without a guest yet",
		"out", "eaten", "not wanted", "kitchen", "floor", "lead", "Columns", "Rows",
		"Labels of the first sheet that are used up", site.RoomTitle(panel.RoleKitchen),
		site.RoomTitle(panel.RoleFloor), "%s comes first.", "%s comes first, and it is on the table.")
}

// TestEveryTextOfStaffIsTranslated: what kitchen and floor read stands in every language.
func TestEveryTextOfStaffIsTranslated(t *testing.T) {
	texts := slices.Concat(templateTexts(t), sourceTexts(t), tableTexts())
	slices.Sort(texts)
	for _, text := range slices.Compact(texts) {
		for _, tag := range study.Spoken[1:] {
			text = strings.ReplaceAll(text, `\"`, `"`)
			if w := site.TongueIn(tag); text != "" && !w.Translates(text) && !w.InPaper(text) {
				t.Errorf("not in %s: %s", tag, text)
			}
		}
	}
}
