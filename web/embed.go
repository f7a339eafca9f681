// Package web holds what is served to browsers: page templates, style sheets,
// scripts and the built figure script.
//
// static/built is made by "npm --prefix web ci" and is not part of the
// sources. Without it everything works but the figures, which then show their
// text alternative; [FiguresBuilt] tells.
package web

import (
	"embed"
	"io/fs"
)

// FS holds the directories templates and static.
//
//go:embed templates static
var FS embed.FS

// FigureBundle is the built figure script in [FS].
const FigureBundle = "static/built/figures.js"

// FiguresBuilt reports whether the figure script was built before the program
// was compiled.
func FiguresBuilt() bool {
	_, err := fs.Stat(FS, FigureBundle)
	return err == nil
}
