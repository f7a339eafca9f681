// Package help holds the help pages, one for each person and those that several look things
// up in: the same texts in the browser and on the command line.
//
// Each is a Markdown file beside this one; the table of methods is written into its page. What
// stands in them in two asterisks on either side is a button or a heading of a page, what
// stands in backquotes after "cloche" is a command; tests hold both, and the numbers.
package help

import (
	"bytes"
	"embed"
	"fmt"
	"html"
	"html/template"
	"regexp"
	"strings"
	"unicode"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"

	"cloche/internal/method"
)

//go:embed *.md
var files embed.FS

// Topic is a help page.
type Topic struct {
	ID    string // as in the address and on the command line
	Title string
	Text  string // Markdown
}

// order is that of the pages: those who begin first, then what is looked up.
var order = []string{"chef", "partner", "kitchen", "floor", "operator", "questions", "files", "methods", "commands",
	"words"}

// Topics returns the pages in their order.
func Topics() ([]Topic, error) {
	var list []Topic
	for _, id := range order {
		text, err := files.ReadFile(id + ".md")
		if err != nil {
			return nil, fmt.Errorf("read help on %s: %w", id, err)
		}
		title, _, _ := strings.Cut(strings.TrimPrefix(string(text), "# "), "\n")
		full := strings.Replace(string(text), methodsHere, methods(), 1)
		list = append(list, Topic{ID: id, Title: title, Text: full})
	}
	return list, nil
}

// methodsHere stands in a page for the table of methods.
const methodsHere = "{{methods}}"

func methods() string {
	var b strings.Builder
	b.WriteString("| id | use | in words | symbol | source |\n|---|---|---|---|---|")
	for _, m := range method.All() {
		fmt.Fprintf(&b, "\n| `%s` | %s | %s | %s | %s |", m.ID, m.Use, m.Title, m.Symbol, m.Source)
	}
	return b.String()
}

// Find returns a page by its id; ok is false when there is none.
func Find(id string) (t Topic, ok bool, err error) {
	all, err := Topics()
	for _, x := range all {
		if x.ID == id {
			return x, true, err
		}
	}
	return Topic{}, false, err
}

var markdown = goldmark.New(goldmark.WithExtensions(extension.Table),
	goldmark.WithParserOptions(parser.WithAutoHeadingID()))

// HTML renders the page. Its text is part of the program, so that nothing in it is of
// somebody else's making.
func (t Topic) HTML() (template.HTML, error) {
	var b bytes.Buffer
	if err := markdown.Convert([]byte(t.Text), &b); err != nil {
		return "", fmt.Errorf("render help on %s: %w", t.ID, err)
	}
	// A table that is wider than a phone is scrolled by the keyboard too.
	return template.HTML(strings.ReplaceAll(b.String(), "<table>", `<table tabindex="0">`)), nil
}

// Section is a heading of a page, and its anchor there.
type Section struct{ ID, Title string }

var heading = regexp.MustCompile(`<h2 id="([^"]+)">(.*?)</h2>`)

// Sections are the headings of a page as HTML renders it.
func Sections(page template.HTML) []Section {
	var list []Section
	for _, m := range heading.FindAllStringSubmatch(string(page), -1) {
		list = append(list, Section{ID: m[1], Title: html.UnescapeString(m[2])})
	}
	return list
}

// Hit is a paragraph, an entry of a list or a row of a table that a search found.
// Anchor is that of its section; both are empty above the first.
type Hit struct{ Topic, Title, Section, Anchor, Text string }

// Search returns what holds every word of a query, whole or as the beginning of a word, in
// the order of the pages.
func Search(query string) ([]Hit, error) {
	all, err := Topics()
	wanted := wordsOf(query)
	if err != nil || len(wanted) == 0 {
		return nil, err
	}
	var hits []Hit
	for _, t := range all {
		page, err := t.HTML()
		if err != nil {
			return nil, err
		}
		sections, here := Sections(page), Section{}
		for _, block := range blocks(t.Text) {
			if strings.HasPrefix(block, "## ") {
				here, sections = sections[0], sections[1:]
			} else if holds(wordsOf(here.Title+" "+block), wanted) && !strings.HasPrefix(block, "# ") {
				hits = append(hits, Hit{t.ID, t.Title, here.Title, here.ID, plain(block)})
			}
		}
	}
	return hits, nil
}

// blocks parts a text into headings, paragraphs, entries of lists and rows of tables.
func blocks(text string) []string {
	parted := strings.NewReplacer("\n- ", "\n\n- ", "\n| ", "\n\n| ", "\n|---", "\n\n|---").Replace(text)
	return strings.Split(parted, "\n\n")
}

func wordsOf(s string) []string {
	between := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	return strings.FieldsFunc(strings.ToLower(s), between)
}

func holds(words, wanted []string) bool {
	for _, w := range wanted {
		found := false
		for _, x := range words {
			found = found || strings.HasPrefix(x, w)
		}
		if !found {
			return false
		}
	}
	return true
}

// plain is a paragraph without its marks.
func plain(block string) string {
	return strings.Join(strings.Fields(strings.NewReplacer("**", "", "`", "", "#", "", "|", " ", "---", "").
		Replace(block)), " ")
}
