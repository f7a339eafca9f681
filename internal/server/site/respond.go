package site

import (
	"bytes"
	"cmp"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/study"
)

// Frame is what every screen's struct begins with.
type Frame struct {
	Title    string
	Invented bool // the data of the study is invented
	SignedIn bool // desk: show the lead's links
	Reader   bool // desk: who is no lead reads; no button changes anything
	Begins   bool // desk: a lead of all studies, who begins new ones and sees who else signs in
	Owner    bool // desk: who set the service up
	Narrow   bool // desk: a form of one column

	Languages []LanguageLink // phone: to choose from; none when there is one
	Lang      string         // BCP 47; "" is English
	of        *study.Study   // desk: whose page it is; nil when it is no study's

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

// paragraphs splits a text of a study at its line ends.
func paragraphs(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
}

// Show renders a screen and writes it.
func Show[T framed](s *Site, c *gin.Context, status int, x Screen[T], page T) error {
	return s.render(c, status, x.Name, page.Language(), "page", page)
}

// render executes one template of a set into a buffer, then writes it, so
// that a failure never leaves half a page.
func (s *Site) render(c *gin.Context, status int, screen, lang, name string, page any) error {
	set, err := s.pages.in(screen, lang)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := set.ExecuteTemplate(&b, name, page); err != nil {
		return fmt.Errorf("render %s: %w", screen, err)
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
