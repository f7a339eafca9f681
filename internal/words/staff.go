package words

import (
	_ "embed"
	"fmt"
	"strings"
)

// staffFile is what the pages of kitchen and floor say, each text in English and then in every
// other language. It is a list to be read by somebody whose language it is: all but the English
// was written from memory, and no native reader has gone through it yet.
//
//go:embed staff.txt
var staffFile string

// staffTexts are the texts of a language by the English ones; the languages by their tags.
var staffTexts = readStaff(staffFile)

// staffBlocks reads texts that stand with a line a language and an empty line between them.
func staffBlocks(file string) (all []map[string]string) {
	for block := range strings.SplitSeq(file, "\n\n") {
		one := map[string]string{}
		for line := range strings.Lines(block) {
			if tag, text, ok := strings.Cut(strings.TrimRight(line, "\n"), ": "); ok && !strings.HasPrefix(line, "#") {
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
			all[tag][block["en"]] = text
		}
	}
	return all
}

// Translates reports whether the language has words for a text of staff.
func (w Words) Translates(english string) bool { return staffTexts[w.tag][english] != "" }

// Translate puts a text of kitchen's and floor's pages, which stand in English where they are
// used, into the language. What is formatted goes into its verbs.
func (w Words) Translate(english string, values ...any) string {
	text := english
	if w.Translates(english) {
		text = staffTexts[w.tag][english]
	}
	if len(values) == 0 {
		return text
	}
	return fmt.Sprintf(text, values...)
}
