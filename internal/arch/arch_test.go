// Package arch holds no code: its tests keep the direction of imports and the
// package comments as DEVELOPERS.md draws them.
package arch

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// pkg is what go list says of a package.
type pkg struct {
	ImportPath   string
	Imports      []string
	Deps         []string
	TestImports  []string
	XTestImports []string
}

func list(t *testing.T) map[string]pkg {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports,Deps,TestImports,XTestImports", "cloche/...")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	all := map[string]pkg{}
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p pkg
		err := dec.Decode(&p)
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		all[p.ImportPath] = p
	}
}

// pure packages: values in, values out.
var pure = []string{"cloche/internal/method", "cloche/internal/study", "cloche/internal/design",
	"cloche/internal/stats", "cloche/internal/analysis", "cloche/internal/calibrate"}

// bannedDeps must not be reachable from a pure package, with the reason.
var bannedDeps = map[string]string{
	"net/http":                 "the core knows no web",
	"database/sql":             "the core knows no storage",
	"html/template":            "the core renders nothing",
	"github.com/gin-gonic/gin": "the core knows no web",
	"gorm.io/gorm":             "the core knows no storage",
}

// bannedImports must not be imported by a pure package itself; numeric
// libraries may reach them.
var bannedImports = map[string]string{
	"time":        "the clock comes in as an argument",
	"os":          "files come in as readers",
	"math/rand":   "seeds come in as arguments; math/rand/v2 with a source of one's own",
	"crypto/rand": "seeds come in as arguments",
}

// fixtures are packages that tests alone may import.
var fixtures = []string{"cloche/internal/analysis/analysistest", "cloche/internal/draws",
	"cloche/internal/server/servertest", "cloche/internal/simulated", "cloche/internal/stamp/stamptest",
	"cloche/internal/stats/statstest"}

// above lists, for each package of ours, the packages of ours that it may import;
// "stats" stands for its rooms too.
var above = map[string][]string{
	"method":  {},
	"study":   {"method"},
	"stats":   {},
	"words":   {},
	"stamp":   {},
	"picture": {},
	"help":    {"method", "words"},

	"stats/numeric":  {"stats"},
	"stats/dist":     {"stats", "stats/numeric"},
	"stats/model":    {"stats", "stats/dist"},
	"stats/choice":   {"stats", "stats/numeric", "stats/dist"},
	"stats/dose":     {"stats", "stats/numeric", "stats/dist"},
	"stats/meta":     {"stats", "stats/numeric", "stats/dist"},
	"stats/ranks":    {"stats", "stats/dist"},
	"stats/ttest":    {"stats", "stats/numeric", "stats/dist", "stats/ranks"},
	"stats/lottery":  {"stats", "stats/dist", "stats/numeric"},
	"stats/evidence": {"stats", "stats/dist"},
	"stats/effect":   {"stats", "stats/numeric", "stats/dist", "stats/ranks", "stats/ttest"},
	"stats/anova":    {"stats", "stats/numeric", "stats/dist", "stats/ranks", "stats/ttest"},
	"stats/mixed":    {"stats", "stats/numeric", "stats/dist", "stats/model"},
	"stats/ordinal":  {"stats", "stats/numeric", "stats/dist", "stats/model"},
	"stats/profile":  {"stats", "stats/dist", "stats/dose"},
	"stats/size":     {"stats", "stats/numeric", "stats/dist", "stats/ranks", "stats/ttest", "stats/choice"},

	"design":      {"study"},
	"analysis":    {"method", "study", "stats", "design"},
	"panel":       {"study", "design", "analysis", "stats", "stamp"},
	"verify":      {"stats"},
	"store":       {"study", "design", "analysis", "panel"},
	"report":      {"method", "study", "design", "stats", "analysis", "panel", "picture"},
	"datapackage": {"study", "design", "analysis", "panel", "report"},

	"server/site":    {"study", "analysis", "panel", "words"},
	"server/summary": {"study", "design", "method", "analysis", "panel", "report", "words", "server/site"},
	"server/phones":  {"study", "analysis", "panel", "words", "server/site"},
	"server/room":    {"study", "panel", "server/site"},
	"server/builder": {"study", "design", "method", "analysis", "panel", "words", "server/site", "server/summary"},
	"server/desk": {"study", "design", "analysis", "panel", "picture", "report", "datapackage", "words", "help",
		"stamp", "server/site", "server/summary", "server/phones", "server/builder"},
	"server": {"panel", "server/site", "server/phones", "server/room", "server/desk", "server/builder"},
}

// violations returns every broken rule of p.
func violations(p pkg) []string {
	var bad []string
	if isPure(p.ImportPath) {
		for _, d := range p.Deps {
			if why, banned := bannedDeps[d]; banned {
				bad = append(bad, p.ImportPath+" reaches "+d+": "+why)
			}
		}
		for _, d := range p.Imports {
			if why, banned := bannedImports[d]; banned {
				bad = append(bad, p.ImportPath+" imports "+d+": "+why)
			}
		}
	}
	for _, d := range fixtures {
		if slices.Contains(p.Imports, d) && !slices.Contains(fixtures, p.ImportPath) {
			bad = append(bad, p.ImportPath+" imports "+d+": it is for tests alone")
		}
	}
	name, ours := strings.CutPrefix(p.ImportPath, "cloche/internal/")
	allowed, known := above[name]
	for _, d := range p.Imports {
		of, own := strings.CutPrefix(d, "cloche/internal/")
		if ours && known && own && !reaches(name, allowed, of) {
			bad = append(bad, p.ImportPath+" imports "+d+": imports run one way")
		}
	}
	return bad
}

// isPure reports whether a path is that of a pure package or of a room in one.
func isPure(path string) bool {
	return slices.ContainsFunc(pure, func(p string) bool { return path == p || strings.HasPrefix(path, p+"/") }) &&
		!slices.Contains(fixtures, path)
}

// reaches reports whether a package that may import allowed may import of. What
// may import stats may import its rooms, but for stats itself and for one another.
func reaches(name string, allowed []string, of string) bool {
	house, _, room := strings.Cut(of, "/")
	within := name == house || strings.HasPrefix(name, house+"/")
	return slices.Contains(allowed, of) || room && !within && slices.Contains(allowed, house)
}

func TestImportsRunOneWay(t *testing.T) {
	all := list(t)
	for _, p := range all {
		for _, v := range violations(p) {
			t.Error(v)
		}
	}
	for _, name := range pure {
		if _, ok := all[name]; !ok {
			t.Errorf("package %s is gone: mend the list in this test", name)
		}
	}
	for name := range above {
		if _, ok := all["cloche/internal/"+name]; !ok {
			t.Errorf("package %s is gone: mend the list in this test", name)
		}
	}
}

// TestServiceRunsNoCommand: the program cannot start another one.
func TestServiceRunsNoCommand(t *testing.T) {
	service, ok := list(t)["cloche/cmd/cloche"]
	if !ok || !slices.Contains(service.Deps, "net/http") || slices.Contains(service.Deps, "os/exec") {
		t.Errorf("%q needs the web and is without os/exec; it reaches %d packages", service.ImportPath,
			len(service.Deps))
	}
}

func TestViolationsAreFound(t *testing.T) {
	tests := []struct {
		name string
		p    pkg
	}{
		{"web reached from the core", pkg{ImportPath: "cloche/internal/stats", Deps: []string{"net/http"}}},
		{"clock in the core", pkg{ImportPath: "cloche/internal/design", Imports: []string{"time"}}},
		{"fixtures of tests in the program", pkg{ImportPath: "cloche/cmd/cloche", Imports: fixtures[:1]}},
		{"a room of the core reaches storage", pkg{ImportPath: "cloche/internal/stats/ranks",
			Deps: []string{"database/sql"}}},
		{"a room of stats imports one above", pkg{ImportPath: "cloche/internal/stats/dist",
			Imports: []string{"cloche/internal/stats/ranks"}}},
		{"stats imports a room of its own", pkg{ImportPath: "cloche/internal/stats",
			Imports: []string{"cloche/internal/stats/dist"}}},
		{"core imports an edge", pkg{ImportPath: "cloche/internal/panel", Imports: []string{"cloche/internal/store"}}},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if len(violations(tc.p)) != 1 {
				t.Errorf("violations = %v, want one", violations(tc.p))
			}
		})
	}
}

// TestRandomTestsHaveASeed holds test packages that draw their cases to the seed of all.
func TestRandomTestsHaveASeed(t *testing.T) {
	for _, p := range list(t) {
		imports := slices.Concat(p.TestImports, p.XTestImports)
		if slices.Contains(imports, "pgregory.net/rapid") && !slices.Contains(imports, "cloche/internal/draws") {
			t.Errorf("the tests of %s draw cases without a seed: import cloche/internal/draws", p.ImportPath)
		}
	}
}

func TestEveryPackageHasOneComment(t *testing.T) {
	root := filepath.Join("..", "..")
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if name := d.Name(); name == "node_modules" || name == "testdata" ||
			(strings.HasPrefix(name, ".") && path != root) {
			return filepath.SkipDir
		}
		checkComment(t, path)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// checkComment fails t unless the package in dir, if there is one, has exactly
// one package comment.
func checkComment(t *testing.T, dir string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	comments, sources := 0, 0
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") && filepath.Base(dir) != "arch" {
			continue
		}
		var file *ast.File
		if file, err = parser.ParseFile(token.NewFileSet(), f, nil,
			parser.ParseComments|parser.PackageClauseOnly); err != nil {
			t.Fatal(err)
		}
		sources++
		if file.Doc != nil {
			comments++
		}
	}
	if sources > 0 && comments != 1 {
		t.Errorf("%s has %d package comments, want 1", dir, comments)
	}
}
