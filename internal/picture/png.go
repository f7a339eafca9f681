package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"strconv"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// PNG is the picture in pixels.
func (p *Picture) PNG() ([]byte, error) {
	on := image.NewRGBA(image.Rect(0, 0, p.Width, p.Height))
	draw.Draw(on, on.Bounds(), image.NewUniform(colour(p.Ground, 1)), image.Point{}, draw.Src)
	for _, x := range p.shapes {
		switch {
		case x.text != "":
			write(on, x)
		case x.fill != "":
			fill(on, [][]Point{x.points}, colour(x.fill, x.opacity))
		default:
			fill(on, stroked(x.points, x.stroke), colour(x.stroke.Colour, x.stroke.Opacity))
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, on); err != nil {
		return nil, fmt.Errorf("write a picture: %w", err)
	}
	return b.Bytes(), nil
}

// colour reads #rrggbb; anything else is black.
func colour(hex string, opacity float64) color.Color {
	n, err := strconv.ParseUint(hex[min(1, len(hex)):], 16, 32)
	if err != nil {
		n = 0
	}
	return color.NRGBA{uint8(n >> 16), uint8(n >> 8), uint8(n), uint8(math.Round(255 * max(0, min(1, opacity))))}
}

func write(on draw.Image, x shape) {
	at := x.points[0]
	switch length := Length(x.text, x.style); anchorOf(x.style) {
	case Middle:
		at.X -= length / 2
	case End:
		at.X -= length
	}
	withFace(x.style, func(f font.Face) {
		d := font.Drawer{Dst: on, Src: image.NewUniform(colour(x.style.Colour, 1)), Face: f,
			Dot: fixed.Point26_6{X: fixed.Int26_6(math.Round(at.X * 64)), Y: fixed.Int26_6(math.Round(at.Y * 64))}}
		d.DrawString(x.text)
	})
}

// fill fills areas, where they overlap once.
func fill(on draw.Image, areas [][]Point, with color.Color) {
	box := image.Rectangle{}
	for _, area := range areas {
		for _, p := range area {
			x, y := int(math.Floor(p.X)), int(math.Floor(p.Y))
			box = box.Union(image.Rect(x, y, x+2, y+2))
		}
	}
	if box = box.Intersect(on.Bounds()); box.Empty() {
		return
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for _, area := range areas {
		for i, p := range area {
			x, y := float32(p.X-float64(box.Min.X)), float32(p.Y-float64(box.Min.Y))
			if i == 0 {
				r.MoveTo(x, y)
			} else {
				r.LineTo(x, y)
			}
		}
		r.ClosePath()
	}
	r.Draw(on, box, image.NewUniform(with), image.Point{})
}

// stroked are the areas of a line's dashes, all turning the same way.
func stroked(points []Point, s Stroke) [][]Point {
	var areas [][]Point
	left, at, gap := math.Inf(1), 0, false // of the dash or gap that is being drawn
	if len(s.Dash) > 0 {
		left = s.Dash[0]
	}
	for i := 1; i < len(points); i++ {
		from, to := points[i-1], points[i]
		length := math.Hypot(to.X-from.X, to.Y-from.Y)
		for done := 0.0; done < length; {
			step := min(left, length-done)
			if !gap {
				areas = append(areas, bar(along(from, to, done/length), along(from, to, (done+step)/length), s.Width))
			}
			done += step
			if left -= step; left <= 1e-9 {
				at, gap = (at+1)%len(s.Dash), !gap
				left = s.Dash[at]
			}
		}
	}
	return areas
}

func along(from, to Point, part float64) Point {
	return Point{from.X + part*(to.X-from.X), from.Y + part*(to.Y-from.Y)}
}

// bar is a straight line with its width.
func bar(from, to Point, width float64) []Point {
	length := math.Hypot(to.X-from.X, to.Y-from.Y)
	if length == 0 {
		return nil
	}
	x, y := (to.Y-from.Y)/length*width/2, (from.X-to.X)/length*width/2
	return []Point{{from.X + x, from.Y + y}, {to.X + x, to.Y + y}, {to.X - x, to.Y - y}, {from.X - x, from.Y - y}}
}
