package desk

import (
	"slices"

	"cloche/internal/words"
)

// A search that finds nothing word for word looks for words that come close: a letter
// wrong, missing, too many or changed places; two in a long word. Accents count for nothing.

// closeSearch compares words with those of a query. Many texts have the same words: each is
// compared once.
type closeSearch struct {
	wanted []string
	known  []map[string]bool // of each that is wanted: whether a word comes close to it
}

func newCloseSearch(query string) closeSearch {
	c := closeSearch{wanted: words.Sought(query)}
	for range c.wanted {
		c.known = append(c.known, map[string]bool{})
	}
	return c
}

// matches reports whether the query has words, and every one of them comes close to the beginning of one of all.
func (c closeSearch) matches(all []string) bool {
	for i, wanted := range c.wanted {
		if !slices.ContainsFunc(all, func(w string) bool {
			near, known := c.known[i][w]
			if !known {
				near = comesClose(w, wanted)
				c.known[i][w] = near
			}
			return near
		}) {
			return false
		}
	}
	return len(c.wanted) > 0
}

// comesClose compares a word as it was typed with the beginnings of another that are about
// as long.
func comesClose(word, typed string) bool {
	w, t := []rune(word), []rune(typed)
	slips := slipsAllowed(len(t))
	if slips == 0 {
		return word == typed
	}
	w = w[:min(len(w), len(t)+slips)]
	if len(w) < len(t)-slips {
		return false
	}
	return slices.Min(slipsToBeginnings(w, t)[max(0, len(t)-slips):]) <= slips
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

// slipsToBeginnings counts, for each beginning of a from none of it to all, the letters to change, add,
// leave out or swap with their neighbour that make it b (optimal string alignment; Damerau 1964, Commun. ACM
// 7:171, from memory).
func slipsToBeginnings(a, b []rune) []int {
	cells := make([]int, (len(a)+1)*(len(b)+1))
	rows := make([][]int, len(b)+1) // by how much of b, then by how much of a
	for j := range rows {
		rows[j] = cells[j*(len(a)+1) : (j+1)*(len(a)+1)]
		rows[j][0] = j
	}
	for i := range rows[0] {
		rows[0][i] = i
	}
	for j := 1; j <= len(b); j++ {
		for i := 1; i <= len(a); i++ {
			same := 1
			if a[i-1] == b[j-1] {
				same = 0
			}
			rows[j][i] = min(rows[j][i-1]+1, rows[j-1][i]+1, rows[j-1][i-1]+same)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[j][i] = min(rows[j][i], rows[j-2][i-2]+1)
			}
		}
	}
	return rows[len(b)]
}
