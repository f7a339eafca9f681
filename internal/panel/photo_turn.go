package panel

import (
	"encoding/binary"
	"image"
)

// A phone does not turn the picture but notes how it was held: the orientation,
// tag 0x0112 of Exif 2.32 (JEITA CP-3451), with the values 1 to 8. Writing the
// picture anew drops the note, so it is turned first.
const orientationTag = 0x0112

// turnOf returns the orientation that a JPEG notes, 1 when it notes none.
func turnOf(file []byte) int {
	for at := 2; at+4 <= len(file) && file[at] == 0xff; {
		marker, size := file[at+1], int(binary.BigEndian.Uint16(file[at+2:]))
		if marker == 0xda || size < 2 || at+2+size > len(file) { // the picture itself begins
			return 1
		}
		if body := file[at+4 : at+2+size]; marker == 0xe1 && len(body) > 6 && string(body[:6]) == "Exif\x00\x00" {
			return orientationIn(body[6:])
		}
		at += 2 + size
	}
	return 1
}

// orientationIn reads the tag from the first directory of a TIFF block.
func orientationIn(block []byte) int {
	if len(block) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if string(block[:2]) == "II" {
		order = binary.LittleEndian
	}
	at := int64(order.Uint32(block[4:]))
	if at+2 > int64(len(block)) {
		return 1
	}
	entries := block[at+2:]
	for n := int(order.Uint16(block[at:])); n > 0 && len(entries) >= 12; n, entries = n-1, entries[12:] {
		if order.Uint16(entries) == orientationTag {
			if v := int(order.Uint16(entries[8:])); v >= 1 && v <= 8 {
				return v
			}
			return 1
		}
	}
	return 1
}

// upright turns a picture as its orientation says.
func upright(p *image.RGBA, orientation int) *image.RGBA {
	w, h := p.Bounds().Dx(), p.Bounds().Dy()
	tw, th := w, h
	if orientation > 4 {
		tw, th = h, w
	}
	turned := image.NewRGBA(image.Rect(0, 0, tw, th))
	for y := range th {
		for x := range tw {
			from := [...]image.Point{
				{x, y}, {w - 1 - x, y}, {w - 1 - x, h - 1 - y}, {x, h - 1 - y},
				{y, x}, {y, h - 1 - x}, {w - 1 - y, h - 1 - x}, {w - 1 - y, x},
			}[orientation-1]
			turned.SetRGBA(x, y, p.RGBAAt(from.X, from.Y))
		}
	}
	return turned
}
