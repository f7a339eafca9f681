package report

import (
	"os"
	"regexp"
	"testing"
)

// TestLegendsAreDrawnAlike: every mark that is a line on the page is one on the card, of the same colour.
func TestLegendsAreDrawnAlike(t *testing.T) {
	css, err := os.ReadFile("../../web/static/report.css")
	if err != nil {
		t.Fatal(err)
	}
	lines := regexp.MustCompile(`(?m)^\.report-mark-([a-z]+) \{ `+
		`border-top: \d+px (solid|dashed|dotted) var\((--[a-z-]+)\); \}`).
		FindAllSubmatch(css, -1)
	if len(lines) < 6 {
		t.Fatalf("%d marks are lines", len(lines))
	}
	for _, x := range lines {
		line, known := legendLines[string(x[1])]
		if !known || line.Colour != string(x[3]) || (len(line.Dash) == 0) != (string(x[2]) == "solid") {
			t.Errorf("the card draws %s as %+v, the page %s", x[1], line, x[0])
		}
	}
}
