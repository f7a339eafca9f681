package words

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
)

// What the pages of kitchen and floor, of the desk and of the builder say, each text in English
// and then in every other language. They are lists to be read by somebody whose language it is:
// all but the English was written from memory, and no native reader has gone through them yet. A
// text stands in one of them, whichever page came first.
var (
	//go:embed staff.txt
	staffFile string
	//go:embed desk.txt
	deskFile string
	//go:embed builder.txt
	builderFile string
)

// houseFile is all of them.
var houseFile = staffFile + "\n" + deskFile + "\n" + builderFile

// staffTexts are the texts of a language by the English ones; the languages by their tags.
var staffTexts = readStaff(houseFile)

// staffBlocks reads texts that stand with a line a language and an empty line between them.
func staffBlocks(file string) (all []map[string]string) {
	for block := range strings.SplitSeq(file, "\n\n") {
		one := map[string]string{}
		for line := range strings.Lines(block) {
			if tag, text, ok := strings.Cut(strings.TrimRight(line, "\n"), ": "); ok && !strings.HasPrefix(line,
				"#") {
				one[tag] = text
			}
		}
		if len(one) > 0 {
			all = append(all, one)
		}
	}
	return all
}

func readStaff(file string) map[string]map[string]string {
	all := map[string]map[string]string{}
	for _, block := range staffBlocks(file) {
		for tag, text := range block {
			if all[tag] == nil {
				all[tag] = map[string]string{}
			}
			all[tag][block["en"]] = hold(tag, text)
		}
	}
	return all
}

// Translates reports whether the language has words for a text of staff.
func (w Words) Translates(english string) bool { return staffTexts[w.tag][english] != "" }

// sentence is what a package that knows no languages says: a text in English, with what goes into
// its verbs.
type sentence interface {
	fmt.Stringer // in English
	Parts() (text string, values []any)
}

// numeral is a number within a sentence, which another decimal mark may go into.
type numeral interface{ InMark(mark string) string }

// Tell puts a sentence into the language, and those in it.
func (w Words) Tell(x sentence) string {
	if w.tag == english.tag {
		return x.String()
	}
	text, values := x.Parts()
	if len(values) == 0 && !w.Translates(text) && !w.InPaper(text) {
		return hold(w.tag, text) // a figure, such as “70 %”
	}
	values = slices.Clone(values)
	for i, v := range values {
		switch x := v.(type) {
		case sentence:
			values[i] = w.Tell(x)
		case numeral:
			values[i] = hold(w.tag, x.InMark(w.Decimal))
		}
	}
	return w.Translate(text, values...)
}

// Translate puts a text of the house's own pages, which stand in English where they are
// used, into the language. What is formatted goes into its verbs.
func (w Words) Translate(english string, values ...any) string {
	text := english
	switch {
	case w.Translates(english):
		text = staffTexts[w.tag][english]
	case w.InPaper(english): // what a plan is told in stands in both
		text = paperTexts[w.tag][english]
	}
	if len(values) == 0 {
		return text
	}
	return fmt.Sprintf(text, values...)
}
