package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"
	"rsc.io/qr"
)

// printQR prints text as a QR code, two rows of modules to a line, with the
// quiet zone of four modules that ISO/IEC 18004 asks for. On a terminal it sets
// black on white, so that it can be scanned whatever the terminal's colours.
func printQR(w io.Writer, text string) error {
	code, err := qr.Encode(text, qr.L)
	if err != nil {
		return fmt.Errorf("make a QR code of %q: %w", text, err)
	}
	begin, end := "", ""
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		begin, end = "\x1b[30;107m", "\x1b[0m"
	}
	const quiet = 4
	for y := -quiet; y < code.Size+quiet; y += 2 {
		var line strings.Builder
		for x := -quiet; x < code.Size+quiet; x++ {
			line.WriteString(halves(code.Black(x, y), code.Black(x, y+1)))
		}
		if _, err := fmt.Fprintf(w, "  %s%s%s\n", begin, line.String(), end); err != nil {
			return err
		}
	}
	return nil
}

// halves gives the character whose ink covers the dark modules of two rows.
func halves(upper, lower bool) string {
	switch {
	case upper && lower:
		return "█"
	case upper:
		return "▀"
	case lower:
		return "▄"
	}
	return " "
}
