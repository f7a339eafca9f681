package site

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// QRCode is a QR code as one path of a drawing, dark modules in runs, with the
// quiet zone of four modules that ISO/IEC 18004 asks for.
type QRCode struct {
	Size int // modules along an edge, quiet zone included
	Path string
}

const quietZone = 4

// NewQR encodes text at level M: a card on a table gets smudged.
func NewQR(text string) (QRCode, error) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return QRCode{}, fmt.Errorf("make a QR code: %w", err)
	}
	var path strings.Builder
	for y := range code.Size {
		for x := 0; x < code.Size; {
			run := 0
			for x+run < code.Size && code.Black(x+run, y) {
				run++
			}
			if run > 0 {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", x+quietZone, y+quietZone, run, run)
			}
			x += max(run, 1)
		}
	}
	return QRCode{Size: code.Size + 2*quietZone, Path: path.String()}, nil
}
