// Package help holds the help pages, one for each person and those that several look things
// up in: the same texts in the browser and on the command line.
//
// Each is a Markdown file in the folder of its language; where a language has none, the English
// one stands in. The table of methods is written into its page. What stands in a text in two
// asterisks on either side is a button or a heading of a page in that language, what stands in
// backquotes after "cloche" is a command; tests hold both, and that every language has the
// headings, paragraphs, code and numbers of the English text.
package help

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html"
	"html/template"
	"io/fs"
	"regexp"
	"slices"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"

	"cloche/internal/method"
	"cloche/internal/words"
)

//go:embed */*.md
var files embed.FS

// Topic is a help page.
type Topic struct {
	ID    string // as in the address and on the command line
	Lang  string // of its text: the one asked for, or "en" where that has none
	Title string
	Text  string // Markdown
}

const english = "en"

// order is that of the pages: those who begin first, then what is looked up.
var order = []string{"chef", "partner", "kitchen", "floor", "operator", "laptop", "questions", "files", "methods",
	"commands", "words"}

// Topics returns the pages in their order, in a language by its BCP 47 tag; those that it does
// not have in English.
func Topics(lang string) ([]Topic, error) {
	var list []Topic
	for _, id := range order {
		t, err := read(lang, id)
		if err != nil {
			return nil, fmt.Errorf("read help on %s: %w", id, err)
		}
		list = append(list, t)
	}
	return list, nil
}

func read(lang, id string) (Topic, error) {
	lang, _, _ = strings.Cut(lang, "-")
	page, err := files.ReadFile(lang + "/" + id + ".md")
	if errors.Is(err, fs.ErrNotExist) && lang != english {
		return read(english, id)
	}
	title, _, _ := strings.Cut(strings.TrimPrefix(string(page), "# "), "\n")
	full := strings.Replace(string(page), methodsHere, methods(), 1)
	return Topic{ID: id, Lang: lang, Title: title, Text: full}, err
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

// Find returns a page by its id, as [Topics] does; ok is false when there is none.
func Find(lang, id string) (t Topic, ok bool, err error) {
	if !slices.Contains(order, id) {
		return Topic{}, false, nil
	}
	t, err = read(lang, id)
	return t, err == nil, err
}

var markdown = goldmark.New(goldmark.WithExtensions(extension.Table),
	goldmark.WithParserOptions(parser.WithAutoHeadingID()))

// HTML renders the page. Its text is part of the program, so that nothing in it is of
// somebody else's making. The anchors of its headings are those of the English page, so that
// a link leads to the same place in every language.
func (t Topic) HTML() (template.HTML, error) {
	anchors, err := anchorsOf(t.ID)
	if err != nil {
		return "", err
	}
	ids := parser.NewContext(parser.WithIDs(&given{IDs: parser.NewContext().IDs(), anchors: anchors}))
	var b bytes.Buffer
	if err := markdown.Convert([]byte(t.Text), &b, parser.WithContext(ids)); err != nil {
		return "", fmt.Errorf("render help on %s: %w", t.ID, err)
	}
	// A table that is wider than a phone is scrolled by the keyboard too. That of the methods is English.
	table := `<table tabindex="0">`
	if t.ID == "methods" && t.Lang != english {
		table = `<table tabindex="0" lang="en">`
	}
	return template.HTML(strings.ReplaceAll(b.String(), "<table>", table)), nil
}

// anchorsOf are those of the headings of an English page, in their order.
func anchorsOf(id string) ([]string, error) {
	t, err := read(english, id)
	if err != nil {
		return nil, fmt.Errorf("read help on %s: %w", id, err)
	}
	var list []string
	source, ids := []byte(t.Text), parser.NewContext()
	doc := markdown.Parser().Parse(text.NewReader(source), parser.WithContext(ids))
	for n := doc.FirstChild(); n != nil; n = n.NextSibling() {
		if n.Kind() == ast.KindHeading {
			id, _ := n.AttributeString("id")
			list = append(list, string(id.([]byte)))
		}
	}
	return list, nil
}

// given are the anchors of a page by the number of its heading; beyond them each gets one of its own.
type given struct {
	parser.IDs
	anchors []string
}

func (g *given) Generate(value []byte, kind ast.NodeKind) []byte {
	if len(g.anchors) == 0 {
		return g.IDs.Generate(value, kind)
	}
	id := g.anchors[0]
	g.anchors = g.anchors[1:]
	return []byte(id)
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
// Lang is the language of its page.
type Hit struct{ Topic, Lang, Title, Section, Anchor, Text string }

// Search returns what holds every word of a query, whole or as the beginning of a word, with
// its accents or without, in the order of the pages that [Topics] returns.
func Search(lang, query string) ([]Hit, error) {
	all, err := Topics(lang)
	wanted := words.Sought(query)
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
			} else if holds(words.Sought(here.Title+" "+block), wanted) && !strings.HasPrefix(block, "# ") {
				hits = append(hits, Hit{t.ID, t.Lang, t.Title, here.Title, here.ID, plain(block)})
			}
		}
	}
	return hits, nil
}

// blocks parts a text into headings, paragraphs, entries of lists and rows of tables.
func blocks(page string) []string {
	parted := strings.NewReplacer("\n- ", "\n\n- ", "\n| ", "\n\n| ", "\n|---", "\n\n|---").Replace(page)
	return strings.Split(parted, "\n\n")
}

func holds(all, wanted []string) bool {
	for _, w := range wanted {
		found := false
		for _, x := range all {
			found = found || strings.HasPrefix(x, w)
		}
		if !found {
			return false
		}
	}
	return true
}

// plain is a paragraph without its marks, on one line. Spaces that are not broken stay so.
func plain(block string) string {
	text := strings.NewReplacer("**", "", "`", "", "#", "", "|", " ", "---", "").Replace(block)
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' }), " ")
}
