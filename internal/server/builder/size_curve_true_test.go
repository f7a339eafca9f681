package builder

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// TestSizeCurveStandsWhereItsNumbersSay: on random questions of size, every panel of
// the curve and every mark lies at its size and its power, within the frame, and on
// its side of the power that is wished for.
func TestSizeCurveStandsWhereItsNumbersSay(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 1))
	tests := analysis.SizedTests()
	drawn := 0
	for range 120 {
		q := analysis.Sizing{Test: tests[random.IntN(len(tests))], Sides: study.TwoSided,
			Power:     0.5 + 0.45*random.Float64(),
			Assessors: random.IntN(150), Places: random.IntN(3) * 40}
		if c, choice := q.Test.Choice(); choice && c.NoShare {
			q.Sides, q.Distance = study.Greater, 0.5+2*random.Float64()
		} else if choice {
			q.Sides, q.Share = study.Greater, c.Above+(1-c.Above)*(0.1+0.8*random.Float64())
		} else {
			q.Panel.Samples = 3 + random.IntN(4)
			q.Difference, q.Spread, q.Length = 1+19*random.Float64(), analysis.GivenSpread(5+20*random.Float64()), 100
		}
		z, err := analysis.FindSize(q)
		if err != nil {
			t.Fatal(err)
		}
		if c := (&builder{tongue: site.TongueIn("en")}).newSizeCurve(z); c != nil {
			drawn++
			checkCurve(t, c, z)
		}
	}
	if drawn < 100 {
		t.Errorf("%d curves were drawn", drawn)
	}
}

func checkCurve(t *testing.T, c *sizeCurve, z *analysis.Size) {
	t.Helper()
	most := z.Curve[len(z.Curve)-1].Assessors
	place := func(p analysis.PanelPower) (x, y float64) {
		return float64(c.Left) + float64(c.Right-c.Left)*float64(p.Assessors)/float64(most),
			float64(c.Bottom) - float64(c.Bottom-c.Top)*p.Power
	}
	near := func(what string, x, y float64, p analysis.PanelPower) {
		t.Helper()
		wantX, wantY := place(p)
		if math.Abs(x-wantX) > 0.006 || math.Abs(y-wantY) > 0.006 {
			t.Errorf("%s of %d assessors with power %g at (%g, %g), want (%g, %g)", what, p.Assessors, p.Power, x, y,
				wantX, wantY)
		}
	}
	labelsAreClear(t, c)
	points := strings.Fields(c.Line)
	if len(points) != len(z.Curve) {
		t.Fatalf("%d points for %d panels", len(points), len(z.Curve))
	}
	for i, p := range points {
		var x, y float64
		if _, err := fmt.Sscanf(p, "%f,%f", &x, &y); err != nil {
			t.Fatal(err)
		}
		near("point", x, y, z.Curve[i])
	}
	marks := map[string]analysis.PanelPower{"needed": z.Needed, "planned": z.Planned}
	for _, m := range c.Marks {
		p := marks[m.Class]
		near(m.Class, m.X, m.Y, p)
		if short := z.Request.Power - p.Power; short > 1e-4 && m.Y <= c.Wish.At || short <= 0 && m.Y > c.Wish.At {
			t.Errorf("%s: power %g stands on the wrong side of %g", m.Label, p.Power, z.Request.Power)
		}
		if m.Label != fmt.Sprintf("%d %s", p.Assessors, m.Class) {
			t.Errorf("the mark of %d says %q", p.Assessors, m.Label)
		}
		delete(marks, m.Class)
	}
	for class, p := range marks { // one mark stands for both where they are the same
		if p.Assessors > 0 && !(class == "planned" && p.Assessors == z.Needed.Assessors) {
			t.Errorf("no mark for %d %s", p.Assessors, class)
		}
	}
	if said := strings.Contains(c.Desc, fmt.Sprintf("There is room for %d.",
		z.Request.Places)); said != (c.Seats != nil) {
		t.Errorf("seats %+v; it says %s", c.Seats, c.Desc)
	}
	if c.Seats != nil {
		if words := wordWidth(c.Seats.Label); c.SeatsAnchor == "start" && c.SeatsX+words > curveWidth ||
			c.SeatsAnchor == "end" && c.SeatsX-words < curveLeft {
			t.Errorf("%q, %g wide, begins at %g (%s): it is cut", c.Seats.Label, words, c.SeatsX, c.SeatsAnchor)
		}
	}
	for _, tick := range c.Across { // half of its width stands on either side
		if half := wordWidth(tick.Label) / 2; tick.At+half > curveWidth {
			t.Errorf("the number %s at %g is cut", tick.Label, tick.At)
		}
	}
	if n := z.Needed.Assessors; n > 0 && !strings.Contains(c.Desc, fmt.Sprintf(" %d", n)) {
		t.Errorf("%d are needed; it says %s", n, c.Desc)
	}
}

// labelsAreClear: no words of a mark lie on the curve, on the dot of a mark or on other words, or reach beyond the
// frame.
func labelsAreClear(t *testing.T, c *sizeCurve) {
	t.Helper()
	var line [][2]float64
	for _, p := range strings.Fields(c.Line) {
		var at [2]float64
		if _, err := fmt.Sscanf(p, "%f,%f", &at[0], &at[1]); err != nil {
			t.Fatal(err)
		}
		line = append(line, at)
	}
	for i, m := range c.Marks {
		own := covered(m.TextX, m.TextY, m.Anchor, m.Label)
		if own.left < 0 || own.right > curveWidth || own.top < 0 || own.bottom > curveHeight {
			t.Errorf("%q reaches out of the figure: %+v", m.Label, own)
		}
		for k := range len(line) - 1 {
			if own.crossed(line[k], line[k+1]) {
				t.Errorf("%q at %+v lies on the curve from %v to %v: %s", m.Label, own, line[k], line[k+1], c.Line)
				break
			}
		}
		for k, o := range c.Marks {
			dot, label := box{o.X - 6, o.Y - 6, o.X + 6, o.Y + 6}, covered(o.TextX, o.TextY, o.Anchor, o.Label)
			if own.meets(dot) || k < i && own.meets(label) {
				t.Errorf("%q lies on the mark or the words of %q", m.Label, o.Label)
			}
		}
	}
}
