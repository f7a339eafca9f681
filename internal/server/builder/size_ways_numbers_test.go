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
// number where it can be read, and a row in the table that says what it takes, the fewest portions first.
func TestNumbersOfWaysCoverNoOther(t *testing.T) {
	f := servertest.New(t)
	v := f.Lead()
	for _, file := range []string{"saltier-of-two", "smokiest-of-three", "two-creams", "swapped-cream",
		"same-or-different", "our-custard-or-not"} {
		text, err := os.ReadFile("../../../studies/" + file + ".yaml")
		f.Must(err)
		_, edit := f.Drafted(string(text))
		var at [][2]float64
		page := v.Get(edit + "size").HTML()
		var rows, own, portions int
		page.Find(".all-ways tbody tr").Each(func(_ int, row *goquery.Selection) {
			rows++
			own += row.Filter(".this-way").Length()
			if last := row.Find("td").Last().Text(); last != "–" {
				n, err := strconv.Atoi(last)
				if err != nil || n < portions {
					t.Errorf("%s: %q portions come after %d", file, last, portions)
				}
				portions = n
			}
		})
		if rows != page.Find(".ways .number circle").Length() || own != 1 {
			t.Errorf("%s: %d ways in the table, %d of them the study's own", file, rows, own)
		}
		page.Find(".ways .number circle").Each(func(_ int, c *goquery.Selection) {
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
