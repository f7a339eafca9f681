package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"regexp"
	"strings"
	"sync"

	"cloche/web"
)

// filePage is the page as one file: the body with its style and scripts inside.
type filePage struct {
	Page   Page
	Style  template.CSS
	Bundle template.JS
	Script template.JS
}

// FilePolicy is the Content-Security-Policy of a page that [WriteHTML] wrote, for who serves
// it: its own style and scripts by their hashes, and nothing from anywhere.
func FilePolicy(page []byte) string {
	var styles, scripts []string
	for _, found := range inside.FindAllSubmatch(page, -1) {
		hash := sha256.Sum256(found[2])
		source := "'sha256-" + base64.StdEncoding.EncodeToString(hash[:]) + "'"
		if string(found[1]) == "style" {
			styles = append(styles, source)
		} else {
			scripts = append(scripts, source)
		}
	}
	return "default-src 'none'; style-src " + strings.Join(styles, " ") + "; script-src " + strings.Join(scripts, " ") +
		"; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
}

// inside finds the styles and scripts of a page; data in a script element has a type.
var inside = regexp.MustCompile(`(?s)<(style|script)>(.*?)</(?:style|script)>`)

// WriteHTML writes the page as one file that needs no other: style and scripts
// are inside, so it opens from a disk or a mail, without a network.
func WriteHTML(w io.Writer, p Page) error {
	page := filePage{Page: p}
	style, err := fs.ReadFile(web.FS, "static/report.css")
	if err != nil {
		return fmt.Errorf("read the style of the report: %w", err)
	}
	script, err := fs.ReadFile(web.FS, "static/figure.js")
	if err != nil {
		return fmt.Errorf("read the script of the figures: %w", err)
	}
	page.Style, page.Script = template.CSS(style), template.JS(script)
	if web.FiguresBuilt() {
		bundle, err := fs.ReadFile(web.FS, web.FigureBundle)
		if err != nil {
			return fmt.Errorf("read the figure bundle: %w", err)
		}
		page.Bundle = template.JS(bundle)
	}
	t, err := reportFile()
	if err != nil {
		return fmt.Errorf("read the page of the report: %w", err)
	}
	var out bytes.Buffer
	if err := t.ExecuteTemplate(&out, "report_file", page); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	_, err = out.WriteTo(w)
	return err
}

// reportFile is the template of the file, read once.
var reportFile = sync.OnceValues(func() (*template.Template, error) {
	return template.ParseFS(web.FS, "templates/report_file.html", "templates/report_body.html")
})
