package study

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// halfDone spoils names.yaml: each of the lines to take out stands there once.
func halfDone(t *testing.T, outIn ...string) []byte {
	t.Helper()
	src := read(t, "../../testdata/study/names.yaml")
	for i := 0; i < len(outIn); i += 2 {
		if strings.Count(src, outIn[i]) != 1 {
			t.Fatalf("%q stands %d times in names.yaml, want once", outIn[i], strings.Count(src, outIn[i]))
		}
		src = strings.Replace(src, outIn[i], outIn[i+1], 1)
	}
	return []byte(src)
}

func TestPathsOfProblems(t *testing.T) {
	for _, tc := range []struct {
		name    string
		src     []byte
		problem string // a part of what is wrong
		path    string
	}{
		{"not YAML", []byte("title: \"x\n"), "never closed", ""},
		{"empty", nil, "the file is empty", ""},
		{"another version", []byte("cloche: 7\n"), "not known", "cloche"},
		{"a value", halfDone(t, "serve at: 55 °C", "serve at: hot"), `"serve at" is hot`, "dishes[0].serve at"},
		{"an item of a list", halfDone(t, "[milk, eggs]", "[milk, egs]"), "one of the 14", "dishes[0].allergens[1]"},
		{"a value missing", halfDone(t, "title: Custard", "title:"), "no value", "dishes[0].title"},
		{"a key missing", halfDone(t, "    title: Custard\n", ""), `no "title"`, "dishes[0].title"},
		{"a key missing in a section", halfDone(t, "  consent: You may stop at any moment.\n", ""), `no "consent"`,
			"texts.consent"},
		{"a section missing", halfDone(t, "panel:\n  assessors: 40\n", ""), `no "panel"`, "panel"},
		{"an unknown key", halfDone(t, "  assessors: 40\n", "  assessors: 40\n  chairs: 3\n"), "not a key",
			"panel.chairs"},
		{"an unknown key at the top", halfDone(t, "question: names\n", "question: names\nqueries: 3\n"), "not a key",
			"queries"},
		{"a key written twice", halfDone(t, "  assessors: 40\n", "  assessors: 40\n  assessors: 41\n"), "twice",
			"panel.assessors"},
		{"one id twice", halfDone(t, "{id: B,", "{id: A,"), "have the id", "samples[1].id"},
		{"an unknown reference", halfDone(t, "dish: custard, name: royale", "dish: custard, name: x"),
			"none of the names", "samples[1].name"},
		{"a name in a text", halfDone(t, "Taste and answer.", "Taste the royale."), "would read the name",
			"texts.instructions"},
		{"what hangs together", halfDone(t, "  seed: 1\n", "  seed: 1\n  most per sitting: 1\n"), "at least 2 sittings",
			"panel.sittings"},
		{"the second of a comparison", halfDone(t, "[A, B]", "[A, A]"), "with itself", "analysis.compare[1]"},
		{"a key with a dot", []byte(strings.Replace(strings.Replace(read(t, "../../testdata/study/languages.yaml"),
			`nutmeg, "bay: one leaf"`, `"salt, approx. 2 g"`, 1),
			"      nutmeg: noix de muscade\n", "      \"salt, approx. 2 g\":\n",
			1)), `"salt, approx. 2 g" has no value`, `translations.fr.also contains."salt, approx. 2 g"`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, problems := Read("f", tc.src)
			for _, p := range problems {
				if strings.Contains(p.What.String(), tc.problem) {
					if p.Path != tc.path {
						t.Errorf("%q is about %q, want %q", p.What.String(), p.Path, tc.path)
					}
					return
				}
			}
			t.Errorf("no problem says %q: %q", tc.problem, messages(problems))
		})
	}
}

// What stands beside a mistake is read, and keeps its index.
func TestReadHalfDone(t *testing.T) {
	src := halfDone(t, "question: names", "question: nmes",
		"  - {id: A, dish: custard, name: "+
			"brulee}\n", "  - later\n", "    ask: How salty is it?\n", "", "  assessors: 40\n", "  sittings: 3\n")
	s, problems := Read("f", src)
	if len(problems) != 4 {
		t.Errorf("problems %q, want 4", messages(problems))
	}
	want := []Sample{{}, {ID: "B", Dish: "custard", Name: "royale"}}
	if diff := cmp.Diff(want, s.Samples); diff != "" {
		t.Errorf("samples (-want +got):\n%s", diff)
	}
	if s.Title != "Does the name change the taste?" || s.Panel.Sittings != 3 || s.Attributes[0].ID != "salty" ||
		s.Plan.Attribute != "salty" {
		t.Errorf("read %+v", s)
	}
}

func TestReadOfNothing(t *testing.T) {
	for _, src := range []string{"", "# nothing yet\n", "title: \"x\n", "- a\n", "custard", "cloche: 2\ntitle: x\n"} {
		s, problems := Read("f", []byte(src))
		if len(problems) == 0 || s == nil {
			t.Fatalf("Read(%q) = %v with %d problems", src, s, len(problems))
		}
		if s.Language("fr") != "en" || s.Serving.Replicates != 1 || s.Panel.Sittings != 1 {
			t.Errorf("Read(%q) = %+v, want the defaults of a study that says nothing", src, s)
		}
	}
}

// Old files serve alcohol without asking an age: they are read all the same, so
// that what was locked with them can be shown.
func TestReadOfAlcoholWithoutAnAge(t *testing.T) {
	src := strings.Replace(read(t, "../../testdata/study/alcohol.yaml"), "  minimum age: 18\n", "", 1)
	s, problems := Read("f", []byte(src))
	if len(problems) != 1 || problems[0].Path != "panel.minimum age" {
		t.Errorf("problems %q, want one about panel.minimum age", messages(problems))
	}
	if !s.ServesAlcohol() || s.Panel.MinimumAge != 0 || s.Plan.StopAfter == 0 || len(s.Translations) != 1 {
		t.Errorf("read %+v", s)
	}
}
