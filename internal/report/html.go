package report

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"io/fs"
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
