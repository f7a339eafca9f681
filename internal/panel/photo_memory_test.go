package panel

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/jpeg"
	"testing"
	"time"
)

// headOfPNG is the beginning of a PNG of a size, bit depth, colour type and interlacing.
func headOfPNG(w, h uint32, depth, colour, interlace byte) []byte {
	head := append([]byte("IHDR"), binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)...)
	head = append(head, depth, colour, 0, 0, interlace)
	file := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	return binary.BigEndian.AppendUint32(append(file, head...), crc32.ChecksumIEEE(head))
}

// headOfJPEG is the beginning of a JPEG of a size, by the marker of its frame.
func headOfJPEG(w, h uint16, frame byte) []byte {
	file := []byte{0xff, 0xd8, 0xff, frame, 0, 17, 8}
	file = binary.BigEndian.AppendUint16(file, h)
	file = binary.BigEndian.AppendUint16(file, w)
	return append(file, 3, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0, 0xff, 0xda, 0, 2)
}

// TestAPictureIsWeighedBeforeItIsUnpacked: what would take more memory than is allowed
// is refused by its header, what may be a photo of a phone is looked at further.
func TestAPictureIsWeighedBeforeItIsUnpacked(t *testing.T) {
	for _, tc := range []struct {
		name    string
		file    []byte
		tooMuch bool
	}{
		{"baseline JPEG, 50 million", headOfJPEG(8160, 6144, 0xc0), false},
		{"baseline JPEG, 60 million", headOfJPEG(10_000, 6000, 0xc0), true},
		{"progressive JPEG, 50 million", headOfJPEG(8160, 6144, 0xc2), true},
		{"progressive JPEG, 11 million", headOfJPEG(4000, 2750, 0xc2), false},
		{"PNG, 41 million", headOfPNG(8200, 5000, 8, 6, 0), false},
		{"PNG, 50 million", headOfPNG(8160, 6144, 8, 6, 0), true},
		{"PNG of 16 bits, 25 million", headOfPNG(5000, 5000, 16, 6, 0), true},
		{"interlaced PNG, 25 million", headOfPNG(5000, 5000, 8, 6, 1), true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			header, _, err := image.DecodeConfig(bytes.NewReader(tc.file))
			if err != nil {
				t.Fatal(err)
			}
			if got := header.Width > maxUnpacked/bytesAPixel(tc.file, header)/header.Height; got != tc.tooMuch {
				t.Errorf("%d bytes a pixel, too much: %v", bytesAPixel(tc.file, header), got)
			}
			if _, err := smallPhoto(tc.file); !errors.Is(err, ErrBadValue) {
				t.Errorf("the beginning alone: %v", err)
			}
		})
	}
}

// TestOneUploadUnpacksAtATime: a second waits, and gives up with its request.
func TestOneUploadUnpacksAtATime(t *testing.T) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	if isProgressive(b.Bytes()) {
		t.Error("a baseline JPEG is taken for a progressive one")
	}
	s := &Service{unpacking: make(chan struct{}, 1)}
	s.unpacking <- struct{}{} // another picture
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Millisecond)
	defer cancel()
	if _, err := s.unpack(ctx, b.Bytes()); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("while another is unpacked: %v", err)
	}
	<-s.unpacking
	if small, err := s.unpack(t.Context(), b.Bytes()); err != nil || len(small) == 0 {
		t.Errorf("afterwards: %v", err)
	}
	if len(s.unpacking) != 0 {
		t.Error("the place is not given back")
	}
}
