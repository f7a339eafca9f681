// Package picture draws still pictures of lines, marks and words, as SVG and as PNG, and
// the figures of a report with them: without a browser, and without fonts of its own,
// since the Go fonts are a module (golang.org/x/image/font/gofont).
package picture
