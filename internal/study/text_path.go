package study

import (
	"fmt"
	"strconv"
	"strings"
)

// step is one part of a path: a key, or the place of an item in a list.
type step struct {
	key   string
	index int // of an item; -1 for a key
}

func (s step) isKey() bool { return s.index < 0 }

// maxPath bounds the steps of a path: no file is deeper.
const maxPath = maxDepth

// PathKey writes a key as a path has it: as it is ("serve at"), or in double
// quotes with the escapes of Go when it holds a sign with a meaning in paths or
// one that cannot be seen, as in translations.fr.also contains."salt, approx. 2 g".
func PathKey(key string) string {
	q := strconv.Quote(key)
	if key == "" || strings.ContainsAny(key, ".[]") || q != `"`+key+`"` {
		return q
	}
	return key
}

// parsePath reads a path: keys with a dot between them, each followed by the
// places of items in brackets ("dishes[0].serve at").
func parsePath(path string) ([]step, error) {
	malformed := fmt.Errorf("study: %s is not a path, as dishes[0].title is", quoted(path))
	var steps []step
	for rest := path; ; {
		key, after, ok := cutKey(rest)
		if !ok {
			return nil, malformed
		}
		steps, rest = append(steps, step{key, -1}), after
		for strings.HasPrefix(rest, "[") {
			digits, after, ok := strings.Cut(rest[1:], "]")
			n, err := strconv.Atoi(digits)
			if !ok || err != nil || strconv.Itoa(n) != digits || n < 0 {
				return nil, malformed
			}
			steps, rest = append(steps, step{"", n}), after
		}
		if len(steps) > maxPath {
			return nil, malformed
		}
		if rest == "" {
			return steps, nil
		}
		if rest[0] != '.' {
			return nil, malformed
		}
		rest = rest[1:]
	}
}

// cutKey takes the key at the beginning of a path.
func cutKey(path string) (key, rest string, ok bool) {
	if prefix, err := strconv.QuotedPrefix(path); err == nil && prefix[0] == '"' {
		key, err = strconv.Unquote(prefix)
		return key, path[len(prefix):], err == nil
	}
	end := strings.IndexAny(path, ".[")
	if end < 0 {
		end = len(path)
	}
	key = path[:end]
	return key, path[end:], key != "" && !strings.ContainsAny(key, "]\"\\\n")
}

// writePath is the path of steps.
func writePath(steps []step) string {
	var b strings.Builder
	for i, s := range steps {
		switch {
		case !s.isKey():
			fmt.Fprintf(&b, "[%d]", s.index)
		case i > 0:
			b.WriteString("." + PathKey(s.key))
		default:
			b.WriteString(PathKey(s.key))
		}
	}
	return b.String()
}

// shape is a path with every place of an item left out: "dishes[].title".
func shape(steps []step) string {
	var b strings.Builder
	for i, s := range steps {
		switch {
		case !s.isKey():
			b.WriteString("[]")
		case i > 0:
			b.WriteString("." + s.key)
		default:
			b.WriteString(s.key)
		}
	}
	return b.String()
}
