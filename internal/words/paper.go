package words

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
)

// paperFile is what the paragraph for a paper says, each text in English and then in every other
// language, as [staffFile] is.
//
//go:embed paper.txt
var paperFile string

var paperTexts = readStaff(paperFile)

// Tag is the language's, without a region.
func (w Words) Tag() string { return w.tag }

// Speaks reports whether there are words for a language, given by its tag.
func Speaks(tag string) bool {
	base, _, _ := strings.Cut(tag, "-")
	_, ok := catalogue[base]
	return ok
}

// InPaper reports whether the language has a text of the paragraph for a paper.
func (w Words) InPaper(english string) bool { return paperTexts[w.tag][english] != "" }

// Paper puts a text of the paragraph for a paper into the language, and what is formatted into
// its verbs; numbers that are no whole ones as the language writes them.
func (w Words) Paper(english string, values ...any) string {
	text := english
	if w.InPaper(english) {
		text = paperTexts[w.tag][english]
	}
	if len(values) == 0 {
		return text
	}
	values = slices.Clone(values)
	for i, x := range values {
		if x, ok := x.(float64); ok {
			values[i] = w.Number(x)
		}
	}
	return fmt.Sprintf(text, values...)
}
