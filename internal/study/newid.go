package study

import (
	"slices"
	"strconv"
	"strings"
)

// NewID makes an identifier of a few words that none of those taken is read like;
// of other when there is no letter in the words.
func NewID(words, other string, taken []string) string {
	id := slug(strings.ToLower(words))
	if id == "" {
		id = other
	}
	const most = 24 // short enough to be read in a table; three digits may follow
	if len(id) > most {
		id = id[:most]
		if i := strings.LastIndexByte(id, '-'); i > most/2 {
			id = id[:i]
		}
	}
	id = strings.TrimRight(id, "-_")
	free := func(id string) bool {
		return !slices.ContainsFunc(taken, func(t string) bool { return strings.EqualFold(t, id) })
	}
	for n, base := 2, id; !free(id); n++ {
		id = base + "-" + strconv.Itoa(n)
	}
	return id
}
