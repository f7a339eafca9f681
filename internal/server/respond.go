package server

import (
	"bytes"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"
)

// frame is what every screen's struct begins with.
type frame struct {
	Title    string
	Invented bool // the data of the study is invented
	SignedIn bool // desk: show the lead's links
	Narrow   bool // desk: a form of one column
}

// screen ties a template to the struct that it is rendered from.
type screen[T any] struct {
	name   string // file below templates, without .html
	layout string // file below templates/layout, without .html
}

// The layouts.
const (
	phone = "phone" // an assessor's or a guest's
	desk  = "desk"  // the lead's
)

// pages are the parsed sets, one a screen.
type pages map[string]*template.Template

// readPages parses every registered screen with its layout and the parts, and
// fails when a file of templates belongs to no screen.
func readPages(from fs.FS, a *assets, invented bool) (pages, error) {
	funcs := template.FuncMap{
		"asset":      a.url,
		"rank":       func(i int) int { return i + 1 }, // categories count from 1
		"num":        func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) },
		"paragraphs": paragraphs,
		"demo":       func() bool { return invented },
	}
	sets := pages{}
	for _, x := range screens {
		set, err := template.New("page").Funcs(funcs).ParseFS(from,
			"templates/layout/"+x.layout+".html", "templates/layout/parts.html",
			"templates/layout/summary.html", "templates/layout/board.html", "templates/report_body.html",
			"templates/"+x.name+".html")
		if err != nil {
			return nil, err
		}
		sets[x.name] = set
	}
	files, err := fs.Glob(from, "templates/*.html")
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(f, "templates/"), ".html")
		if sets[name] == nil && !strings.HasPrefix(name, "report") { // package report has its own
			return nil, fmt.Errorf("template %s belongs to no screen", f)
		}
	}
	return sets, nil
}

// paragraphs splits a text of a study at its line ends.
func paragraphs(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
}

// show renders a screen and writes it.
func show[T any](s *server, c *gin.Context, status int, x screen[T], page T) error {
	return s.render(c, status, x.name, "page", page)
}

// render executes one template of a screen into a buffer, then writes it, so
// that a failure never leaves half a page.
func (s *server) render(c *gin.Context, status int, screen, name string, page any) error {
	var b bytes.Buffer
	if err := s.pages[screen].ExecuteTemplate(&b, name, page); err != nil {
		return fmt.Errorf("render %s: %w", screen, err)
	}
	write(c, status, "text/html; charset=utf-8", b.Bytes(), smaller(b.Bytes()))
	return nil
}

// write writes an answer, compressed when the browser takes it.
func write(c *gin.Context, status int, kind string, plain, zipped []byte) {
	h := c.Writer.Header()
	h.Add("Vary", "Accept-Encoding")
	body := plain
	if zipped != nil && strings.Contains(c.GetHeader("Accept-Encoding"), "gzip") {
		h.Set("Content-Encoding", "gzip")
		body = zipped
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	c.Data(status, kind, body)
}

// seeOther ends a form: the browser gets the next page with GET.
func seeOther(c *gin.Context, to string) error {
	c.Redirect(http.StatusSeeOther, to)
	return nil
}
