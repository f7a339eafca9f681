package builder_test

import (
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/server/servertest"
)

// TestNumbersOfWaysCoverNoOther: beside one another on the size page, every way to ask has its
// number where it can be read.
func TestNumbersOfWaysCoverNoOther(t *testing.T) {
	f := servertest.New(t)
	v := f.Lead()
	for _, file := range []string{"saltier-of-two", "smokiest-of-three", "two-creams", "swapped-cream",
		"same-or-different", "our-custard-or-not"} {
		text, err := os.ReadFile("../../../studies/" + file + ".yaml")
		f.Must(err)
		_, edit := f.Drafted(string(text))
		var at [][2]float64
		v.Get(edit + "size").HTML().Find(".ways .number circle").Each(func(_ int, c *goquery.Selection) {
			x, errX := strconv.ParseFloat(c.AttrOr("cx", ""), 64)
			y, errY := strconv.ParseFloat(c.AttrOr("cy", ""), 64)
			if errX != nil || errY != nil {
				t.Fatalf("%s: %v, %v", file, errX, errY)
			}
			for _, other := range at {
				if math.Hypot(x-other[0], y-other[1]) < 18 { // two radii
					t.Errorf("%s: the number at %.0f, %.0f covers that at %.0f, %.0f", file, x, y, other[0], other[1])
				}
			}
			at = append(at, [2]float64{x, y})
		})
		if len(at) < 3 {
			t.Errorf("%s: %d ways are numbered", file, len(at))
		}
	}
}
