package picture

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
)

// faces are the fonts by size and weight; a face may be used by one at a time.
var faces = struct {
	sync.Mutex
	read map[Style]font.Face
}{read: map[Style]font.Face{}}

// withFace hands over the face of a style, to one at a time.
func withFace(s Style, use func(font.Face)) {
	faces.Lock()
	defer faces.Unlock()
	key := Style{Size: s.Size, Bold: s.Bold}
	face, found := faces.read[key]
	if !found {
		file := goregular.TTF
		if s.Bold {
			file = gobold.TTF
		}
		face = faceOf(file, s.Size)
		faces.read[key] = face
	}
	use(face)
}

// faceOf reads a font of the module, which is sound.
func faceOf(file []byte, size float64) font.Face {
	read, err := opentype.Parse(file)
	if err != nil {
		panic("picture: read a Go font: " + err.Error())
	}
	face, err := opentype.NewFace(read, &opentype.FaceOptions{Size: size, DPI: 72})
	if err != nil {
		panic("picture: make a face of a Go font: " + err.Error())
	}
	return face
}

// Length is how many pixels words take.
func Length(text string, s Style) (length float64) {
	withFace(s, func(f font.Face) { length = float64(font.MeasureString(f, text)) / 64 })
	return length
}

// Wrapped breaks words into lines that are no longer than width, between words where
// that can be.
func Wrapped(text string, s Style, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.FieldsFunc(text, breaks) {
		for _, part := range parted(word, s, width) {
			longer := strings.TrimSpace(line + " " + part)
			if line != "" && Length(longer, s) > width {
				lines = append(lines, line)
				longer = part
			}
			line = longer
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// breaks reports whether a line may end at a character: at a space, but for the one that holds a number and its
// unit together.
func breaks(r rune) bool { return unicode.IsSpace(r) && r != '\u00a0' }

// parted cuts a word that is longer than a line.
func parted(word string, s Style, width float64) []string {
	var parts []string
	part := ""
	for _, r := range word {
		if part != "" && Length(part+string(r), s) > width {
			parts = append(parts, part)
			part = ""
		}
		part += string(r)
	}
	return append(parts, part)
}

// Fit is the largest of some sizes, largest first, at which words take no more than so
// many lines; the smallest, and the lines that it takes, when none does.
func Fit(text string, s Style, width float64, most int, sizes ...float64) (Style, []string) {
	var lines []string
	for _, size := range sizes {
		s.Size = size
		if lines = Wrapped(text, s, width); len(lines) <= most {
			break
		}
	}
	return s, lines
}
