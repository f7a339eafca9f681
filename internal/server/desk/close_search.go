package desk

import (
	"slices"

	"cloche/internal/words"
)

// A search that finds nothing word for word looks for words that come close: a letter
// wrong, missing, too many or changed places; two in a long word. Accents count for nothing.

// closeMatch reports whether every word of a query comes close to the beginning of a word
// of the text.
func closeMatch(text, query string) bool {
	all := words.Sought(text)
	return !slices.ContainsFunc(words.Sought(query), func(wanted string) bool {
		return !slices.ContainsFunc(all, func(w string) bool { return comesClose(w, wanted) })
	})
}

// comesClose compares a word as it was typed with the beginnings of another that are about
// as long.
func comesClose(word, typed string) bool {
	w, t := []rune(word), []rune(typed)
	slips := slipsAllowed(len(t))
	if slips == 0 {
		return word == typed
	}
	for n := max(0, len(t)-slips); n <= min(len(w), len(t)+slips); n++ {
		if slipsBetween(w[:n], t) <= slips {
			return true
		}
	}
	return false
}

// slipsAllowed is how many slips a word of n letters may have: a short one none, or every
// other word would do.
func slipsAllowed(n int) int {
	switch {
	case n < 4:
		return 0
	case n < 8:
		return 1
	}
	return 2
}

// slipsBetween counts the letters to change, add, leave out or swap with their neighbour
// that make one word of the other (optimal string alignment; Damerau 1964, Commun. ACM 7:171,
// from memory).
func slipsBetween(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			same := 1
			if a[i-1] == b[j-1] {
				same = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+same)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
