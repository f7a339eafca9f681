package builder_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// formOf reads the builder's form as a browser would send it untouched.
func formOf(p servertest.Page) url.Values {
	form := url.Values{}
	p.HTML().Find("form.build").Find("input, select, textarea").Each(func(_ int, x *goquery.Selection) {
		name, _ := x.Attr("name")
		value := x.AttrOr("value", "")
		_, checked := x.Attr("checked")
		switch kind := x.AttrOr("type", ""); {
		case (kind == "checkbox" || kind == "radio") && !checked:
			return
		case goquery.NodeName(x) == "select":
			chosen := x.Find("option[selected]")
			if chosen.Length() == 0 {
				chosen = x.Find("option").First()
			}
			value = chosen.AttrOr("value", "")
		case goquery.NodeName(x) == "textarea":
			value = strings.ReplaceAll(x.Text(), "\n", "\r\n") // as browsers send it
		}
		form.Add(name, value)
	})
	return form
}

// send sends a form of the builder with one of its buttons.
func send(v *servertest.Visitor, path string, form url.Values, do string) servertest.Page {
	v.T.Helper()
	form.Set("do", do)
	return v.Do(http.MethodPost, path, "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
}

func studyFiles(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, pattern := range []string{"../../../studies/*.yaml", "../../../studies/start/*.yaml",
		"../../../testdata/study/*.yaml"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: %d files, %v", pattern, len(names), err)
		}
		for _, name := range names {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			files[filepath.Base(filepath.Dir(name))+"/"+filepath.Base(name)] = string(src)
		}
	}
	return files
}

// TestBuilderLeavesAnUntouchedFileAlone saves every step of every study as it is
// shown: the file is the same byte for byte, and there is nothing to undo.
func TestBuilderLeavesAnUntouchedFileAlone(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	for name, src := range studyFiles(t) {
		t.Run(name, func(t *testing.T) {
			lead.T = t
			id, edit := f.Drafted(src)
			for _, step := range append(servertest.BuilderSteps, "text") {
				p := lead.Get(edit + step)
				form := formOf(p)
				if p.Status != http.StatusOK || len(form) < 2 {
					t.Fatalf("%s: status %d and %d fields", step, p.Status, len(form))
				}
				send(lead, edit+step, form, "save")
				stored, err := f.Svc.Study(t.Context(), id)
				f.Must(err)
				if stored.File != src || stored.CanUndo {
					t.Fatalf("step %s changed the file (undo: %v):\n%s", step, stored.CanUndo,
						firstDifference(src, stored.File))
				}
			}
		})
	}
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return "was: " + x[i] + "\nis:  " + y[i]
		}
	}
	return "one is longer"
}

// TestBuilderSaysWhatTheCheckSays: every mistake that "cloche check" reports
// stands on a page of the builder in the same words, with a link to a place there:
// on the page of a step when it is about a value, else on the file's own page.
func TestBuilderSaysWhatTheCheckSays(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	for name, src := range mistakenFiles(t) {
		t.Run(name, func(t *testing.T) {
			lead.T = t
			_, problems := study.Read("study.yaml", []byte(src))
			_, edit := f.Drafted(src)
			said := map[bool]string{true: listed(lead.Get(edit + "text"))}
			unsaid := func() *study.Problem {
				for _, p := range problems {
					onStep := edited.MatchString(p.Path)
					if !strings.Contains(said[!onStep], spaced(p.What.String())) ||
						!strings.Contains(said[!onStep], spaced(p.Instead.String())) {
						return &p
					}
				}
				return nil
			}
			for _, step := range servertest.BuilderSteps {
				if unsaid() == nil {
					break
				}
				said[false] += listed(lead.Get(edit + step))
			}
			if said[false] == "" { // no step opens a file that is no YAML
				said[false] = said[true]
			}
			if p := unsaid(); p != nil {
				t.Errorf("no page says %q, %q of %q", p.What, p.Instead, p.Path)
			}
		})
	}
}

// edited are the paths that the steps edit; other keys belong to the file itself.
var edited = regexp.MustCompile(`^(title|question|hypothesis|invented|languages|dishes|names|samples|attributes|` +
	`panel|serving|texts|analysis|translations)\b`)

// listed are the problems that a page lists, in its words.
func listed(p servertest.Page) string {
	return " " + strings.Join(strings.Fields(p.HTML().Find(".problems li, .still-open li, .mistakes li").Text()), " ")
}

// spaced is a message without its first letter, which begins a sentence on a page.
func spaced(s string) string {
	if s == "" {
		return s
	}
	return strings.Join(strings.Fields(string([]rune(s)[1:])), " ")
}

// mistakenFiles are the cases of testdata/study/mistakes.txt.
func mistakenFiles(t *testing.T) map[string]string {
	t.Helper()
	src, err := os.ReadFile("../../../testdata/study/mistakes.txt")
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	_, rest, _ := strings.Cut(string(src), "== ")
	for _, block := range strings.Split(rest, "\n== ") {
		head, body, _ := strings.Cut(strings.TrimSpace(block), "\n")
		var out, in strings.Builder
		for _, line := range strings.Split(body, "\n") {
			switch {
			case strings.HasPrefix(line, "-"):
				out.WriteString(line[1:] + "\n")
			case strings.HasPrefix(line, "+"):
				in.WriteString(line[1:] + "\n")
			}
		}
		file, _, ok := strings.Cut(head, ".yaml: ")
		if !ok {
			files[head] = in.String()
			continue
		}
		sound, err := os.ReadFile("../../../testdata/study/" + file + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		files[head] = strings.TrimPrefix(strings.Replace("\n"+string(sound), "\n"+out.String(), "\n"+in.String(), 1),
			"\n")
	}
	if len(files) < 100 {
		t.Fatalf("%d cases, want at least 100", len(files))
	}
	return files
}
