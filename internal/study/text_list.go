package study

import (
	"fmt"
	"slices"
)

// mostItems bounds the lists that are edited item by item, which takes a reading
// of the file for each; no list of a study may be as long.
const mostItems = 64

// SetList puts a list of values at a path; items that stay keep their place in
// the file and their comments. No values remove the key, but an empty list that
// is not nil is written as [] where that says something: allergens: [] says that
// a dish has none of them.
func (t *Text) SetList(path string, values []string) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	values = slices.Clone(values)
	for i, v := range values {
		values[i] = soundText(v)
	}
	at, rest := t.walk(steps)
	isList := len(rest) == 0 && at.kind == listPart
	switch {
	case len(values) == 0 && (values == nil || !among(emptyAt, steps)):
		if isList {
			return t.Remove(path)
		}
		return nil
	case isList && at.isWords() && slices.Equal(at.texts(), values):
		return nil
	case isList && at.isWords() && len(at.entries) > 0 && len(values) > 0 && max(len(at.entries), len(values)) <= mostItems:
		before := *t
		if err := t.editList(steps, values); err != nil {
			*t = before
			return err
		}
		return nil
	}
	return t.put(steps, leaf{listOf(values), func(bool, *part, int) []written {
		return []written{{head: inFlow(values)}}
	}})
}

// isWords reports whether every item is a single value.
func (p *part) isWords() bool {
	return !slices.ContainsFunc(p.entries, func(e entry) bool { return !e.value.isScalar() })
}

// editList turns a list of words into another, item by item.
func (t *Text) editList(steps []step, values []string) error {
	at := func(i int) []step { return append(slices.Clone(steps), step{"", i}) }
	items := func() []string {
		p, _ := t.walk(steps)
		return p.texts()
	}
	for i := 0; i < len(values); {
		var err error
		switch v, now := values[i], items(); {
		case i < len(now) && now[i] == v:
			i++
		case i < len(now) && slices.Contains(now[i+1:], v) && !slices.Contains(values[i:], now[i]):
			err = t.Remove(writePath(at(i)))
		case i < len(now) && slices.Contains(now[i+1:], v):
			err = t.Move(writePath(at(i+1+slices.Index(now[i+1:], v))), i)
		case i < len(now) && slices.Contains(values[i+1:], now[i]):
			if err = t.putText(at(len(now)), v); err == nil {
				err = t.Move(writePath(at(len(now))), i)
			}
		default:
			err = t.putText(at(i), v)
		}
		if err != nil {
			return err
		}
	}
	for n := len(items()); n > len(values); n-- {
		if err := t.Remove(writePath(at(n - 1))); err != nil {
			return err
		}
	}
	return nil
}

// Move puts an item of a list, with the comment on it, in another place of the
// list.
func (t *Text) Move(path string, to int) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	last := steps[len(steps)-1]
	in, rest := t.walk(steps[:len(steps)-1])
	if last.isKey() || len(rest) > 0 || in == nil || in.lookUp(last) < 0 {
		return fmt.Errorf("study: there is no item %s", path)
	}
	n := len(in.entries)
	if to < 0 || to >= n {
		return fmt.Errorf("study: %s cannot become item %d: the list has %s", path, to, count(n, "item"))
	}
	if to == last.index {
		return nil
	}
	if t.odd {
		return uneditable(steps)
	}
	turn := make([]int, 0, n)
	for i := range n {
		if i != last.index {
			turn = append(turn, i)
		}
	}
	turn = slices.Insert(turn, to, last.index)
	moved := part{kind: listPart}
	var splices []splice
	for i, j := range turn {
		moved.entries = append(moved.entries, in.entries[j])
		if i != j {
			from, end := t.slot(in, j)
			where, until := t.slot(in, i)
			splices = append(splices, splice{where, until, string(t.src[from:end]), true})
		}
	}
	if !t.change(t.root.clone().with(steps[:len(steps)-1], moved.clone()), splices...) {
		return uneditable(steps)
	}
	return nil
}

// slot is what belongs to an item: its lines and the comment on it, or in
// brackets the item itself.
func (t *Text) slot(in *part, i int) (from, to int) {
	e := in.entries[i]
	if in.flow {
		return e.value.from, e.value.to
	}
	return t.chunk(in, i), t.last(e)
}
