package study

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// write says what to write in place of a word that is not one of those known:
// the nearest of them if one is near, else all of them.
func write[T ~string](typed string, known []T) Said {
	if w, ok := nearest(typed, known); ok {
		return Say("write %q", w)
	}
	if len(known) == 1 {
		return Say("write %q", known[0])
	}
	words := make([]string, len(known))
	for i, w := range known {
		words[i] = string(w)
	}
	return Say("write one of %s", strings.Join(words, ", "))
}

// nearest returns the known word that typed was most likely meant to be: the one
// with the fewest slips of the finger, when these are at most one for every
// three letters.
func nearest[T ~string](typed string, known []T) (T, bool) {
	var best T
	typed = fold(typed)
	fewest := len([]rune(typed))/3 + 1
	for _, w := range known {
		if d := slips(typed, fold(string(w))); d < fewest {
			best, fewest = w, d
		}
	}
	return best, best != ""
}

// fold makes words alike that a reader would call the same: case, the width of
// letters, and '-', '_' and space do not count.
func fold(s string) string {
	s = strings.ToLower(norm.NFKC.String(s))
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool {
		return r == '-' || r == '_' || unicode.IsSpace(r)
	}), " ")
}

// slips is the number of letters added, left out, changed or swapped with their
// neighbour that turn a into b: the optimal string alignment distance (Damerau
// 1964; Levenshtein 1966). Cost is the product of the lengths, and words longer
// than any key are not worth the work.
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 2*maxID || len(y) > 2*maxID {
		return max(len(x), len(y))
	}
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(y)]
}

// slug turns words into an identifier: letters without their accents, and '-'
// between words.
func slug(s string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(s) {
		switch {
		case r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_'):
			b.WriteRune(r)
		case r == '-' || unicode.IsSpace(r):
			b.WriteByte('-')
		}
	}
	id := strings.Trim(b.String(), "-_")
	if id == "" {
		return ""
	}
	if !unicode.IsLetter(rune(id[0])) {
		id = "s" + id
	}
	return id[:min(len(id), maxID)]
}
