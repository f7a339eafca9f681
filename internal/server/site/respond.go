package site

import (
	"bytes"
	"cmp"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
	"cloche/internal/words"
)

// Frame is what every screen's struct begins with.
type Frame struct {
	Title    string
	Invented bool // the data of the study is invented
	SignedIn bool // desk: show the lead's links
	Reader   bool // desk: the partner reads; no button changes anything
	Narrow   bool // desk: a form of one column

	Languages []languageLink // phone: to choose from; none when there is one
	Lang      string         // BCP 47; "" is English

	Large    bool   // phone: large text
	TextHref string // the same page with larger or usual text; "" = no link

	Rehearsal *Rehearsing // phone: the page is only rehearsed; nil when it is real
}

// Language is that of the page.
func (f Frame) Language() string { return cmp.Or(f.Lang, "en") }

// framed is what every screen's struct is.
type framed interface{ Language() string }

// Screen ties a template to the struct that it is rendered from.
type Screen[T framed] struct {
	Name   string // file below templates, in its room, without .html
	layout string // file below templates/layout, without .html
}

// The layouts.
const (
	phone = "phone" // an assessor's or a guest's
	desk  = "desk"  // the lead's
	staff = "staff" // kitchen's and floor's
)

// PhoneScreen is a screen of an assessor or a guest; name is that of its template.
func PhoneScreen[T framed](name string) Screen[T] { return Screen[T]{name, phone} }

// DeskScreen is a screen of lead and partner.
func DeskScreen[T framed](name string) Screen[T] { return Screen[T]{name, desk} }

// StaffScreen is a screen of kitchen and floor.
func StaffScreen[T framed](name string) Screen[T] { return Screen[T]{name, staff} }

// AnyScreen names a template and its layout, whatever it is rendered from.
type AnyScreen struct{ name, layout string }

// Any leaves out what a screen is rendered from.
func (x Screen[T]) Any() AnyScreen { return AnyScreen{x.Name, x.layout} }

// layoutParts are the files that every screen of a layout is parsed with.
var layoutParts = map[string][]string{
	phone: layoutFiles(phone, "parts", "asks", "blind"),
	staff: layoutFiles(staff, "parts", "asks", "blind", "board"),
	desk: append(layoutFiles(desk, "parts", "asks", "blind", "board", "summary", "keeping", "sittings", "build",
		"notice"),
		"templates/report_body.html"),
}

func layoutFiles(names ...string) []string {
	for i, name := range names {
		names[i] = "templates/layout/" + name + ".html"
	}
	return names
}

// Pages are the parsed sets, one a screen and language that the program speaks.
type Pages map[string]*template.Template

// pageKey names a set.
func pageKey(screen, lang string) string { return screen + " " + words.In(lang).Name }

// ReadPages parses every registered screen with its layout and the parts, and
// fails when a file of templates belongs to no screen.
func ReadPages(from fs.FS, a *Assets, invented bool, screens []AnyScreen) (Pages, error) {
	funcs := template.FuncMap{
		"asset":      a.url,
		"rank":       func(i int) int { return i + 1 }, // categories count from 1
		"num":        func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) },
		"most":       func() int { return panel.MaxComment }, // characters of a comment
		"paragraphs": paragraphs,
		"demo":       func() bool { return invented },
		"say":        func() words.Words { return words.In("en") },
		"wrong":      func(a panel.Ask) string { return ProblemWords(words.In("en"), a) },
	}
	layouts := map[string]*template.Template{}
	for layout, parts := range layoutParts {
		set, err := template.New("page").Funcs(funcs).ParseFS(from, parts...)
		if err != nil {
			return nil, err
		}
		layouts[layout] = set
	}
	sets := Pages{}
	for _, x := range screens {
		set, err := layouts[x.layout].Clone()
		if err != nil {
			return nil, err
		}
		if _, err = set.ParseFS(from, "templates/"+x.name+".html"); err != nil {
			return nil, err
		}
		sets[x.name] = set
		for _, lang := range spokenOn(x.layout) {
			if sets[pageKey(x.name, lang)], err = inLanguage(set, words.In(lang)); err != nil {
				return nil, err
			}
		}
	}
	files, err := fs.Glob(from, "templates/*/*.html")
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(f, "templates/"), ".html")
		if sets[name] == nil && !strings.HasPrefix(name, "layout/") {
			return nil, fmt.Errorf("template %s belongs to no screen", f)
		}
	}
	return sets, nil
}

// spokenOn are the languages of the screens of a layout: assessors' are many,
// those of lead and staff are English.
func spokenOn(layout string) []string {
	if layout != phone {
		return []string{"en"}
	}
	return study.Spoken
}

// inLanguage returns a parsed set that speaks a language.
func inLanguage(set *template.Template, w words.Words) (*template.Template, error) {
	spoken, err := set.Clone()
	if err != nil {
		return nil, err
	}
	return spoken.Funcs(template.FuncMap{
		"say":   func() words.Words { return w },
		"wrong": func(a panel.Ask) string { return ProblemWords(w, a) },
	}), nil
}

// paragraphs splits a text of a study at its line ends.
func paragraphs(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
}

// Show renders a screen and writes it.
func Show[T framed](s *Site, c *gin.Context, status int, x Screen[T], page T) error {
	return s.render(c, status, pageKey(x.Name, page.Language()), "page", page)
}

// render executes one template of a set into a buffer, then writes it, so
// that a failure never leaves half a page.
func (s *Site) render(c *gin.Context, status int, set, name string, page any) error {
	var b bytes.Buffer
	if err := s.pages[set].ExecuteTemplate(&b, name, page); err != nil {
		return fmt.Errorf("render %s: %w", set, err)
	}
	WritePage(c, status, "text/html; charset=utf-8", b.Bytes())
	return nil
}

// Write writes an answer, compressed when the browser takes it.
func Write(c *gin.Context, status int, kind string, plain, zipped []byte) {
	h := c.Writer.Header()
	h.Add("Vary", "Accept-Encoding")
	body := plain
	if zipped != nil && takesZipped(c) {
		h.Set("Content-Encoding", "gzip")
		body = zipped
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	c.Data(status, kind, body)
}

// SeeOther ends a form: the browser gets the next page with GET.
func SeeOther(c *gin.Context, to string) error {
	c.Redirect(http.StatusSeeOther, to)
	return nil
}
