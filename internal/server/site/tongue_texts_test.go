package site

import (
	"io/fs"
	"regexp"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/study"
	"cloche/web"
)

// TestEveryNoticeToStaffIsTranslated: errors, and what scripts say, stand in every language.
func TestEveryNoticeToStaffIsTranslated(t *testing.T) {
	var texts []string
	for _, text := range scriptTexts {
		texts = append(texts, text)
	}
	for _, x := range explanations {
		if x.to == InRoom {
			n := x.page(TongueIn("en"), panel.ErrNotFound)
			texts = append(append(texts, n.Heading), n.Text...)
		}
	}
	for _, said := range tallyWords(panel.Tally{}) {
		texts = append(texts, said.words)
	}
	for _, text := range texts {
		for _, tag := range study.Spoken[1:] {
			if !TongueIn(tag).Translates(text) {
				t.Errorf("not in %s: %s", tag, text)
			}
		}
	}
}

// staffScripts are the scripts of kitchen's and floor's pages alone.
var staffScripts = []string{"floor.js", "floor_ahead.js", "floor_offline.js", "kitchen.js", "kept.js", "acts.js",
	"live.js", "pad.js", "say.js"}

// TestStaffScriptsHoldNoWords: what scripts say comes with the page; they name nothing that it
// has not, and hold no sentence of their own.
func TestStaffScriptsHoldNoWords(t *testing.T) {
	comments := regexp.MustCompile(`(?s)/\*\*.*?\*/|//[^\n]*`)
	sentence := regexp.MustCompile("[\"`]([A-Z][a-z]+ [a-z]+|[a-z]+ [a-z]+ [a-z]+ )[^\"`]*[\"`]")
	asked, quoted := regexp.MustCompile(`\bsay\(((?:[^(){},]|\([^()]*\))*)`), regexp.MustCompile(`"(\w+)"`)
	used := map[string]bool{}
	for _, file := range staffScripts {
		text, err := fs.ReadFile(web.FS, "static/"+file)
		if err != nil {
			t.Fatal(err)
		}
		code := comments.ReplaceAllString(string(text), "")
		if found := sentence.FindString(code); found != "" {
			t.Errorf("%s says %s", file, found)
		}
		for _, call := range asked.FindAllStringSubmatch(code, -1) {
			for _, name := range quoted.FindAllStringSubmatch(call[1], -1) {
				used[name[1]] = true
				if scriptTexts[name[1]] == "" {
					t.Errorf("%s says %s, which no page has", file, name[1])
				}
			}
		}
	}
	for name := range scriptTexts {
		if !used[name] {
			t.Errorf("no script says %s", name)
		}
	}
}
