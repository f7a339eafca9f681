package site_test

import (
	"io/fs"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"cloche/web"
)

// TestColoursAreLegible computes the contrast of every pair of colours that the
// style sheet sets beside each other. Source of the formula and the bounds: WCAG
// 2.2, "relative luminance", 1.4.3 (4.5:1 for text) and 1.4.11 (3:1 for edges of
// controls).
func TestColoursAreLegible(t *testing.T) {
	sheet, err := fs.ReadFile(web.FS, "static/cloche.css")
	if err != nil {
		t.Fatal(err)
	}
	at := strings.Index(string(sheet), "@media (prefers-color-scheme: dark)")
	end := at + strings.Index(string(sheet)[at:], "*, *::before")
	light, dark := colours(string(sheet)[:at]), colours(string(sheet)[at:end])
	if len(light) < 9 || len(dark) != len(light) {
		t.Fatalf("%d colours in light, %d in dark", len(light), len(dark))
	}
	for _, tc := range []struct {
		front, ground string
		least         float64
	}{
		{"ink", "ground", 4.5}, {"ink", "sheet", 4.5}, {"soft", "ground", 4.5}, {"soft", "sheet", 4.5},
		{"on-beet", "beet", 4.5}, {"beet", "ground", 4.5}, {"green", "ground", 4.5}, {"ground", "ink", 4.5},
		{"edge", "ground", 3}, {"edge", "sheet", 3},
	} {
		for name, set := range map[string][2]float64{
			"light": {light[tc.front], light[tc.ground]},
			"dark":  {dark[tc.front], dark[tc.ground]},
		} {
			if got := contrast(set[0], set[1]); !(got >= tc.least) {
				t.Errorf("%s: %s on %s is %.2f:1, want %g:1", name, tc.front, tc.ground, got, tc.least)
			}
		}
	}
}

// TestContrastFormula: #767676 on white is 4.54:1 and #777777 4.48:1, the pair
// that is usually quoted for the bound of WCAG 1.4.3.
func TestContrastFormula(t *testing.T) {
	for hex, want := range map[string]float64{"767676": 4.54, "777777": 4.48, "000000": 21} {
		if got := contrast(luminance(hex), luminance("ffffff")); math.Abs(got-want) > 0.005 {
			t.Errorf("#%s on white: %.3f, want %.2f", hex, got, want)
		}
	}
}

var token = regexp.MustCompile(`--([a-z-]+): #([0-9a-f]{6});`)

// colours returns the luminance of each colour that a style sheet names.
func colours(sheet string) map[string]float64 {
	set := map[string]float64{}
	for _, m := range token.FindAllStringSubmatch(sheet, -1) {
		set[m[1]] = luminance(m[2])
	}
	return set
}

func luminance(hex string) float64 {
	var sum float64
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		if err != nil {
			return math.NaN()
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			sum += weight * c / 12.92
			continue
		}
		sum += weight * math.Pow((c+0.055)/1.055, 2.4)
	}
	return sum
}

func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }
