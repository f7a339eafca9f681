package study

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// Remove takes out a key, or an item of a list, and the comment on it: what
// stands beside it, inside it and on the lines right above. A comment above the first of
// several may speak of them all and stays, unless others have their own. A block
// or a list that would be left empty goes too; an item whose last key goes stays
// as {}, so that the places of the other items stay. A key that is not there is
// no mistake; an item is.
func (t *Text) Remove(path string) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	at, rest := t.walk(steps)
	switch done := steps[:len(steps)-len(rest)]; {
	case len(rest) == 0:
	case slices.ContainsFunc(rest, func(s step) bool { return !s.isKey() }):
		return fmt.Errorf("study: there is no item %s", path)
	case at != nil && (at.kind == listPart || at.kind == scalarPart && !among(scalarOrBlock, done)):
		return noWay(at, done, steps)
	default:
		return nil
	}
	if t.odd {
		return uneditable(steps)
	}
	for len(steps) > 1 {
		in, _ := t.walk(steps[:len(steps)-1])
		if len(in.entries) > 1 {
			break
		}
		if !steps[len(steps)-2].isKey() && in.kind == mapPart {
			return t.empty(steps)
		}
		steps = steps[:len(steps)-1]
	}
	in, _ := t.walk(steps[:len(steps)-1])
	i := in.lookUp(steps[len(steps)-1])
	want := t.root.clone()
	if len(in.entries) == 1 { // the last key of the file
		want = nil
	} else {
		left := in.clone()
		left.entries = slices.Delete(left.entries, i, i+1)
		want = want.with(steps[:len(steps)-1], left)
	}
	cut := t.cutLines
	switch {
	case want == nil && in.flow:
		cut = func(in *part, _ int) []splice { return []splice{erase(in.from, in.to)} }
	case in.flow:
		cut = t.cutPair
	}
	if !t.change(want, cut(in, i)...) {
		return uneditable(steps)
	}
	return nil
}

// empty takes the last key out of an item of a list.
func (t *Text) empty(steps []step) error {
	in, _ := t.walk(steps[:len(steps)-1])
	e := in.entries[0]
	want := t.root.clone().with(steps[:len(steps)-1], &part{kind: mapPart})
	s := overwrite(e.from, max(e.mark, e.value.to), "{}")
	if in.to > s.from && in.from < s.from { // in brackets
		s.from, s.to = in.from, in.to
	}
	if !t.change(want, s) {
		return uneditable(steps)
	}
	return nil
}

// chunk is where an entry of a block begins, with the comment on it.
func (t *Text) chunk(in *part, i int) int {
	e := in.entries[i]
	start := lineStart(t.src, e.from)
	if strings.TrimSpace(string(t.src[start:e.from])) != "" {
		return e.from // beside the dash of a list
	}
	if i > 0 || len(in.entries) > 1 && t.commentsAbove(in.entries[1].from) < lineStart(t.src, in.entries[1].from) {
		return t.commentsAbove(e.from)
	}
	return start
}

// cutLines takes out the lines of an entry of a block.
func (t *Text) cutLines(in *part, i int) []splice {
	from, end := t.chunk(in, i), t.last(in.entries[i])
	if start := lineStart(t.src, from); strings.TrimSpace(string(t.src[start:from])) != "" {
		if i+1 < len(in.entries) {
			next := in.entries[i+1].from
			if len(bytes.TrimSpace(t.src[end:next])) == 0 {
				return []splice{erase(from, next)}
			}
		}
		return []splice{erase(start+len(bytes.TrimRight(t.src[start:from], " ")), end)}
	}
	to := nextLine(t.src, end)
	// Of the empty lines on either side one stays, and none at the end of the file.
	if from > 0 && lineStart(t.src, from) > 0 {
		above := lineStart(t.src, lineBefore(t.src, from))
		if lineEnd(t.src, above) == above && above < from && (to >= len(t.src) || lineEnd(t.src, to) == to) {
			from = above
		}
	}
	return []splice{erase(from, to)}
}

// cutPair takes an entry out of brackets, with a comma. Comments stay.
func (t *Text) cutPair(in *part, i int) []splice {
	e := in.entries[i]
	from, to := e.from, max(e.mark, e.value.to)
	if i > 0 {
		before := in.entries[i-1].value.to
		if gap := t.src[before:from]; bytes.IndexByte(gap, '#') < 0 {
			return []splice{erase(before, to)}
		}
		comma := before + bytes.IndexByte(t.src[before:from], ',')
		return []splice{erase(comma, comma+1), erase(from, to)}
	}
	next := in.entries[1].from
	if gap := t.src[to:next]; bytes.IndexByte(gap, '#') < 0 {
		return []splice{erase(from, next)}
	}
	comma := to + bytes.IndexByte(t.src[to:next], ',')
	return []splice{erase(from, to), erase(comma, comma+1)}
}
