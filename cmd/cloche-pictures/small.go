package main

import (
	"bytes"
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"maps"
	"slices"
)

// mostColours is how many a picture keeps: those that it has most of.
const mostColours = 48

// small writes a picture anew with few colours: pages have a handful, and the shades at the
// edges of letters are as good with their neighbours.
func small(picture []byte) ([]byte, error) {
	full, err := png.Decode(bytes.NewReader(picture))
	if err != nil {
		return nil, fmt.Errorf("read the picture: %w", err)
	}
	count := map[color.RGBA]int{}
	b := full.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, a := full.At(x, y).RGBA()
			count[color.RGBA{uint8(r >> 8), uint8(g >> 8), uint8(bl >> 8), uint8(a >> 8)}]++
		}
	}
	used := slices.SortedFunc(maps.Keys(count), func(p, q color.RGBA) int {
		return cmp.Or(count[q]-count[p], cmp.Compare(p.R, q.R), cmp.Compare(p.G, q.G), cmp.Compare(p.B, q.B))
	})
	var palette color.Palette
	for _, c := range used[:min(mostColours, len(used))] {
		palette = append(palette, c)
	}
	few := image.NewPaletted(b, palette)
	draw.Draw(few, b, full, b.Min, draw.Src)
	var out bytes.Buffer
	err = (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, few)
	return out.Bytes(), err
}
