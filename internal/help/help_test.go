package help

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"cloche/internal/method"
	"cloche/internal/study"
)

func topics(t *testing.T, lang string) []Topic {
	t.Helper()
	all, err := Topics(lang)
	if err != nil || len(all) != len(order) {
		t.Fatalf("%d pages, %v", len(all), err)
	}
	return all
}

// TestEveryPageRenders: each begins with its one title, and nothing of its marks is left.
func TestEveryPageRenders(t *testing.T) {
	for _, lang := range study.Spoken {
		for _, x := range topics(t, lang) {
			html, err := x.HTML()
			if err != nil || !strings.HasPrefix(string(html), "<h1") || strings.Count(string(html), "<h1") != 1 ||
				strings.Contains(string(html), "**") || strings.Contains(string(html), "\n| ") {
				t.Errorf("%s, %s: %v, %.80q", lang, x.ID, err, html)
			}
			if found, ok, err := Find(lang, x.ID); !ok || err != nil || found != x {
				t.Errorf("%s, %s is not found: %v", lang, x.ID, err)
			}
		}
	}
	if _, ok, err := Find("en", "../help"); ok || err != nil {
		t.Errorf("a page that is not there: %v, %v", ok, err)
	}
}

// TestHelpIsSearched: every word has to stand in the paragraph, or in the heading over it.
func TestHelpIsSearched(t *testing.T) {
	for query, topic := range map[string]string{"forgotten password": "operator", "BACKUP": "operator",
		"undo": "floor", "wave": "kitchen", "seed": "partner", "pilot": "chef", "duo trio equivalence": "questions",
		"excluded reason": "files", "pratt": "methods", "calibrate": "commands", "linoleum": ""} {
		hits, err := Search("en", query)
		if err != nil {
			t.Fatal(err)
		}
		found := topic == "" && len(hits) == 0
		for _, h := range hits {
			found = found || h.Topic == topic
		}
		if !found {
			t.Errorf("%q finds %+v, want one in %q", query, hits, topic)
		}
	}
	if hits, err := Search("en", "wilcoxon 1945 zeros"); err != nil || len(hits) != 1 || len(hits[0].Text) > 300 {
		t.Errorf("a row of a table is found as %+v, %v", hits, err)
	}
	if hits, err := Search("en", "sides adjustment exclusions"); err != nil || len(hits) != 1 ||
		hits[0].Anchor != "the-analysis" {
		t.Errorf("what stands below a heading is found as %+v, %v", hits, err)
	}
	if hits, err := Search("fr", "hartung knapp"); err != nil || len(hits) == 0 ||
		!strings.Contains(hits[0].Text, "trouvé\u00a0»\u00a0:") {
		t.Errorf("spaces that are not broken are lost: %+v, %v", hits, err)
	}
	if hits, err := Search("fr", "ETUDE verrouillee cle"); err != nil || len(hits) == 0 || hits[0].Lang != "fr" {
		t.Errorf("without accents: %+v, %v", hits, err)
	}
	if hits, err := Search("en", "  ?! "); err != nil || hits != nil {
		t.Errorf("a search for nothing: %v, %v", hits, err)
	}
}

// TestHelpTellsTheMethods: every method stands on its page, with its source.
func TestHelpTellsTheMethods(t *testing.T) {
	page, _, err := Find("en", "methods")
	if err != nil {
		t.Fatal(err)
	}
	html, err := page.HTML()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := strings.Count(string(html), "<tr>")-1, len(method.All()); got != want {
		t.Errorf("%d rows for %d methods", got, want)
	}
	for _, m := range method.All() {
		if !strings.Contains(page.Text, "| `"+string(m.ID)+"` | "+string(m.Use)+" | "+m.Title+" |") ||
			!strings.Contains(page.Text, m.Source) {
			t.Errorf("%s is missing", m.ID)
		}
	}
}

// TestReadmeLeadsToEveryPage: each stands in its table, and each picture is a small file.
func TestReadmeLeadsToEveryPage(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range topics(t, "en") {
		if x.ID != "methods" && !strings.Contains(string(readme), "["+x.ID+"](internal/help/en/"+x.ID+".md)") {
			t.Errorf("the README has no link to %s", x.ID)
		}
	}
	pictures := regexp.MustCompile(`src="(web/pictures/[^"]+)"`).FindAllStringSubmatch(string(readme), -1)
	if len(pictures) != 2 {
		t.Errorf("the README has %d pictures, want 2", len(pictures))
	}
	for _, m := range pictures {
		if f, err := os.Stat("../../" + m[1]); err != nil || f.Size() < 5_000 || f.Size() > 120_000 {
			t.Errorf("%s: %v, %v", m[1], f, err)
		}
	}
}
