// Package help holds the help pages, one for each person and one of words: the same texts
// in the browser and on the command line.
//
// Each is a Markdown file beside this one. What stands in them in two asterisks on either
// side is a button or a heading of a page, what stands in backquotes after "cloche" is a
// command; tests hold both, and the numbers.
package help

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"strings"
	"unicode"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
)

//go:embed *.md
var files embed.FS

// Topic is a help page.
type Topic struct {
	ID    string // as in the address and on the command line
	Title string
	Text  string // Markdown
}

// order is that of the pages: those who begin first.
var order = []string{"chef", "partner", "kitchen", "floor", "operator", "words"}

// Topics returns the pages in their order.
func Topics() ([]Topic, error) {
	var list []Topic
	for _, id := range order {
		text, err := files.ReadFile(id + ".md")
		if err != nil {
			return nil, fmt.Errorf("read help on %s: %w", id, err)
		}
		title, _, _ := strings.Cut(strings.TrimPrefix(string(text), "# "), "\n")
		list = append(list, Topic{ID: id, Title: title, Text: string(text)})
	}
	return list, nil
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
	return template.HTML(b.String()), nil
}

// Hit is a paragraph that a search found.
type Hit struct{ Topic, Title, Section, Text string }

// Search returns the paragraphs that hold every word of a query, whole or as the beginning
// of a word, in the order of the pages.
func Search(query string) ([]Hit, error) {
	all, err := Topics()
	wanted := wordsOf(query)
	if err != nil || len(wanted) == 0 {
		return nil, err
	}
	var hits []Hit
	for _, t := range all {
		section := ""
		for _, block := range strings.Split(t.Text, "\n\n") {
			if strings.HasPrefix(block, "#") {
				section, _, _ = strings.Cut(strings.TrimPrefix(block, "## "), "\n")
				section = strings.TrimPrefix(section, "# "+t.Title) // the title stands before it anyway
				continue                                            // what stands below it is found by its words too
			}
			if holds(wordsOf(section+" "+block), wanted) {
				hits = append(hits, Hit{t.ID, t.Title, section, plain(block)})
			}
		}
	}
	return hits, nil
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
