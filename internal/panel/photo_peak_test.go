package panel

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"runtime"
	"testing"
)

// plainJPEG is a whole JPEG of one colour: every block is its mean alone, which takes
// one bit of it, and in a baseline frame one more. So 50 million pixels are 290 KB.
func plainJPEG(w, h int, frame byte, components, adobe int) []byte {
	file := append([]byte("\xff\xd8\xff\xdb\x00\x43\x00"), bytes.Repeat([]byte{1}, 64)...)
	if adobe >= 0 { // how the colours are written: 0 as they are (Adobe's application marker)
		file = append(file, "\xff\xee\x00\x0eAdobe\x00\x64\x00\x00\x00\x00"...)
		file = append(file, byte(adobe))
	}
	file = append(file, 0xff, frame, 0, byte(8+3*components), 8)
	file = binary.BigEndian.AppendUint16(file, uint16(h))
	file = binary.BigEndian.AppendUint16(file, uint16(w))
	file = append(file, byte(components))
	for i := range components {
		file = append(file, byte(i+1), 0x11, 0)
	}
	for _, table := range []byte{0x00, 0x10} { // one code, the bit 0: no difference, and the end of the block
		file = append(append(file, 0xff, 0xc4, 0, 20, table, 1), make([]byte, 16)...)
	}
	file = append(file, 0xff, 0xda, 0, byte(6+2*components), byte(components))
	for i := range components {
		file = append(file, byte(i+1), 0)
	}
	bits, last := 2, byte(63)
	if frame == 0xc2 {
		bits, last = 1, 0
	}
	blocks := (w + 7) / 8 * ((h + 7) / 8) * components
	file = append(append(file, 0, last, 0), make([]byte, (blocks*bits+7)/8)...)
	return append(file, 0xff, 0xd9)
}

// plainPNG is a whole PNG that is transparent all over.
func plainPNG(t *testing.T, w, h int, depth, interlace byte) []byte {
	t.Helper()
	file := bytes.NewBuffer(headOfPNG(uint32(w), uint32(h), depth, 6, interlace))
	chunk := func(kind string, data []byte) {
		binary.Write(file, binary.BigEndian, uint32(len(data)))
		data = append([]byte(kind), data...)
		file.Write(data)
		binary.Write(file, binary.BigEndian, crc32.ChecksumIEEE(data))
	}
	var packed bytes.Buffer
	z, err := zlib.NewWriterLevel(&packed, zlib.BestSpeed)
	if err != nil {
		t.Fatal(err)
	}
	passes := [][2]int{{1, 1}}
	if interlace == 1 { // every so many columns and rows (PNG specification, "Interlacing and pass extraction")
		passes = [][2]int{{8, 8}, {8, 8}, {4, 8}, {4, 4}, {2, 4}, {2, 2}, {1, 2}}
	}
	for _, x := range passes {
		for range h / x[1] {
			if _, err := z.Write(make([]byte, 1+w/x[0]*4*int(depth)/8)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	chunk("IDAT", packed.Bytes())
	chunk("IEND", nil)
	return file.Bytes()
}

// besideAPicture is what else unpacking allocates: the picture made small, turned, and
// written, and what decoders read into.
const besideAPicture = 4 << 20

// TestAPictureTakesWhatWasReckoned unpacks a picture of each kind, and holds what was
// allocated in all, which is no less than what was held at any moment, to what was
// reckoned from its header. They are wide, so that what is kept of them is little.
func TestAPictureTakesWhatWasReckoned(t *testing.T) {
	const w, h = 8192, 1024
	for _, tc := range []struct {
		name   string
		file   []byte
		pixels int
	}{
		{"JPEG, baseline", plainJPEG(w, h, 0xc0, 3, -1), w * h},
		{"JPEG, baseline, 50 million", plainJPEG(16320, 3072, 0xc0, 3, -1), 16320 * 3072},
		{"JPEG, progressive", plainJPEG(w, h, 0xc2, 3, -1), w * h},
		{"JPEG of red, green and blue", plainJPEG(w, h, 0xc0, 3, 0), w * h},
		{"JPEG of red, green and blue, progressive", plainJPEG(w, h, 0xc2, 3, 0), w * h},
		{"JPEG of four inks", plainJPEG(w, h, 0xc0, 4, 0), w * h},
		{"JPEG of four inks, as brightness and black", plainJPEG(w, h, 0xc0, 4, 2), w * h},
		{"JPEG of four inks, progressive", plainJPEG(w, h/2, 0xc2, 4, 0), w * h / 2},
		{"PNG", plainPNG(t, w, h, 8, 0), w * h},
		{"PNG of 16 bits", plainPNG(t, w, h, 16, 0), w * h},
		{"PNG, interlaced", plainPNG(t, w, h, 8, 1), w * h},
	} {
		t.Run(tc.name, func(t *testing.T) {
			header, _, err := image.DecodeConfig(bytes.NewReader(tc.file))
			if err != nil {
				t.Fatal(err)
			}
			reckoned := tc.pixels * bytesAPixel(tc.file, header)
			allocated, err := allocatedBy(func() error { _, err := smallPhoto(tc.file); return err })
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%.1f million pixels in %d KB: allocated %.0f MiB, reckoned %.0f MiB", float64(tc.pixels)/1e6,
				len(tc.file)>>10, mib(allocated), mib(uint64(reckoned)))
			if allocated > uint64(reckoned)+besideAPicture {
				t.Errorf("allocated %.2f bytes a pixel, reckoned %d", float64(allocated)/float64(tc.pixels),
					reckoned/tc.pixels)
			}
		})
	}
}

// TestAPictureThatIsTooLargeTakesNothing: it is refused by its header.
func TestAPictureThatIsTooLargeTakesNothing(t *testing.T) {
	file := plainJPEG(8160, 6144, 0xc2, 3, -1)
	allocated, err := allocatedBy(func() error { _, err := smallPhoto(file); return err })
	if !errors.Is(err, ErrBadValue) || allocated > 1<<20 {
		t.Errorf("a progressive JPEG of 50 million pixels in %d KB: %v, %.1f MiB allocated", len(file)>>10, err,
			mib(allocated))
	}
}

// allocatedBy counts the bytes that a call allocates, freed or not.
func allocatedBy(do func() error) (uint64, error) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	err := do()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc, err
}

func mib(bytes uint64) float64 { return float64(bytes) / (1 << 20) }
