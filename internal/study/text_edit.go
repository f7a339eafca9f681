package study

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Set puts a value at a path. A value that stands there already changes nothing.
// The value "" removes a key, and empties an item of a list, which keeps its
// place; where there is no single value, "" changes nothing.
//
// What is missing on the way is made, each key in the order of keysAt,
// and an item behind the last of its list. A scale that is a word
// gives way to one with keys. A comment beside the old value stays beside the new.
func (t *Text) Set(path, value string) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	value = soundText(value)
	at, _, rest := t.root.walk(steps)
	switch {
	case len(rest) == 0 && (at.isSingle() && at.text == value || !at.isSingle() && value == ""):
		return nil
	case len(rest) > 0 && value == "":
		return nil
	case value == "" && steps[len(steps)-1].isKey():
		return t.Remove(path)
	}
	return t.put(steps, singleAt(steps, value))
}

// SetList puts a list of values at a path; items that stay keep their lines and
// their comments. No values remove the key, but an empty list that is not nil is
// written as [] where that says something: allergens: [] says that a dish has none
// of them.
func (t *Text) SetList(path string, values []string) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	values = slices.Clone(values)
	for i, v := range values {
		values[i] = soundText(v)
	}
	at, _, rest := t.root.walk(steps)
	isList := len(rest) == 0 && at.kind == list
	isWords := isList && !slices.ContainsFunc(at.entries, func(e entry) bool { return !e.value.isSingle() })
	switch {
	case len(values) == 0 && (values == nil || !among(emptyAt, steps)):
		if isList {
			return t.Remove(path)
		}
		return nil
	case isWords && slices.Equal(at.texts(), values):
		return nil
	case isWords && len(at.entries) > 0 && len(values) > 0:
		return t.edit(steps, func(root *node) {
			at, holder, _ := root.walk(steps)
			at.become(values)
			holder.changed = holder.changed || at.brackets
		})
	}
	return t.put(steps, listOf(values))
}

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
	at, _, rest := t.root.walk(steps)
	switch done := steps[:len(steps)-len(rest)]; {
	case len(rest) == 0:
	case slices.ContainsFunc(rest, func(s step) bool { return !s.isKey() }):
		return fmt.Errorf("study: there is no item %s", path)
	case at.kind == list || at.kind == single && !among(scalarOrBlock, done):
		return noWay(at, done, steps)
	default:
		return nil
	}
	for n := len(steps) - 1; n > 0; n-- {
		if in, _, _ := t.root.walk(steps[:n]); len(in.entries) > 1 || in.kind == block && !steps[n-1].isKey() {
			break
		}
		steps = steps[:n]
	}
	return t.edit(steps, func(root *node) {
		in, holder, _ := root.walk(steps[:len(steps)-1])
		in.remove(in.find(steps[len(steps)-1]))
		if len(in.entries) == 0 && holder == nil {
			in.kind = nothing
		}
		if holder != nil && !in.isLines() {
			holder.changed = true
		}
	})
}

// Move puts an item of a list, with the comment on it, in another place of the
// list.
func (t *Text) Move(path string, to int) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	last := steps[len(steps)-1]
	in, _, rest := t.root.walk(steps[:len(steps)-1])
	switch n := len(in.entries); {
	case last.isKey() || len(rest) > 0 || in.find(last) < 0:
		return fmt.Errorf("study: there is no item %s", path)
	case to < 0 || to >= n:
		return fmt.Errorf("study: %s cannot become item %d: the list has %s", path, to, count(n, "item"))
	case to == last.index:
		return nil
	}
	return t.edit(steps, func(root *node) {
		in, holder, _ := root.walk(steps[:len(steps)-1])
		item := in.entries[last.index]
		in.reorder(slices.Insert(slices.Delete(slices.Clone(in.entries), last.index, last.index+1), to, item))
		holder.changed = holder.changed || in.brackets
	})
}

// put writes a value at a path, with what is missing on the way.
func (t *Text) put(steps []step, v *node) error {
	at, _, rest := t.root.walk(steps)
	done := steps[:len(steps)-len(rest)]
	if len(rest) > 0 && !at.canHold(rest[0], done) {
		return noWay(at, done, steps)
	}
	for i, s := range rest {
		n := 0
		if i == 0 {
			n = len(at.entries)
		}
		if !s.isKey() && s.index != n {
			return fmt.Errorf("study: %s is out of range: the list has %s", writePath(steps), count(n, "item"))
		}
	}
	return t.edit(steps, func(root *node) {
		if version := []step{{"cloche", -1}}; root.kind == nothing && steps[0] != version[0] {
			t.putIn(root, version, singleAt(version, strconv.Itoa(FormatVersion)))
		}
		t.putIn(root, steps, v.clone())
	})
}

// putIn puts a value at a path of a value, with what is missing on the way.
func (t *Text) putIn(at *node, steps []step, v *node) {
	var holder *entry
	inside := false // in brackets
	for i, s := range steps {
		last := i == len(steps)-1
		if len(at.entries) == 0 {
			*at = node{kind: block, lead: at.lead,
				brackets: inside || among(bracketsAt, steps[:i]) || last && !s.isKey()}
			if !s.isKey() {
				at.kind = list
			}
			if holder != nil {
				holder.changed = true
			}
		}
		j := at.find(s)
		if j < 0 {
			e := entry{name: s.key, value: &node{}, changed: true}
			if holder != nil {
				e.column = holder.column + 2
			}
			j = t.insert(at, e, steps[:i], i == 0 && !last)
		}
		if !at.brackets {
			holder = &at.entries[j]
		}
		holder.changed = holder.changed || at.brackets
		inside = at.brackets
		at = at.entries[j].value
	}
	*at = *v
	holder.changed = true
}

// insert puts a new entry behind the nearest of the keys that come before it in
// the order of the format, or behind the last item. A section of the file has an
// empty line on either side; an item stands apart when the others do. It returns
// the entry's place.
func (t *Text) insert(in *node, e entry, steps []step, section bool) int {
	n := len(in.entries)
	i := n
	if in.kind == block {
		i = t.before(in, steps, e.name) + 1
	}
	if in.brackets || n == 0 {
		if len(in.lead) > 0 && section && n == 0 {
			in.lead = append(slices.Clone(in.lead), "")
		}
		in.entries = slices.Insert(in.entries, i, e)
		return i
	}
	e.column = in.entries[0].column
	apart := section || in.kind == list && n > 1 && slices.ContainsFunc(in.entries[n-2].below, isEmptyLine)
	if i > 0 {
		above := &in.entries[i-1]
		e.below, above.below = above.below, nil
		if apart {
			above.below = []string{""}
		}
	}
	if section && (i < n || len(e.below) > 0) && (len(e.below) == 0 || !isEmptyLine(e.below[0])) {
		e.below = append([]string{""}, e.below...)
	}
	in.entries = slices.Insert(in.entries, i, e)
	return i
}

// before is the place of the entry behind which a new key belongs, or -1.
func (t *Text) before(in *node, steps []step, key string) int {
	order := t.order(steps)
	for i := slices.Index(order, key) - 1; i >= 0; i-- {
		if j := in.find(step{order[i], -1}); j >= 0 {
			return j
		}
	}
	known := func(e entry) bool { return slices.Contains(order, e.name) }
	if slices.Contains(order, key) && slices.ContainsFunc(in.entries, known) {
		return -1
	}
	return len(in.entries) - 1
}

// remove takes out an entry. Of the empty lines on either side one stays, and
// none at the end.
func (v *node) remove(i int) {
	gap := v.entries[i].below
	v.entries = slices.Delete(v.entries, i, i+1)
	above := &v.lead
	if i > 0 {
		above = &v.entries[i-1].below
	}
	doubled := i == 0 && len(*above) == 0 || len(*above) > 0 && isEmptyLine((*above)[len(*above)-1])
	for doubled && len(gap) > 0 && isEmptyLine(gap[0]) {
		gap = gap[1:]
	}
	*above = slices.Concat(*above, gap)
	for n := len(*above); i == len(v.entries) && n > 0 && isEmptyLine((*above)[n-1]); n-- {
		*above = (*above)[:n-1]
	}
}

// reorder puts the entries in another order. What is between two stays there.
func (v *node) reorder(entries []entry) {
	for i := range entries {
		entries[i].below = v.entries[i].below
	}
	v.entries = entries
}

// become turns a list of words into another. Items that stay keep their lines; a
// new one takes the place of one that goes.
func (v *node) become(values []string) {
	from := make([]int, len(values)) // the old item of each, or -1
	for i, value := range values {
		from[i] = slices.IndexFunc(v.entries, func(e entry) bool { return e.value.text == value })
		if slices.Contains(from[:i], from[i]) {
			from[i] = -1
		}
	}
	for i := range values {
		if from[i] < 0 && i < len(v.entries) && !slices.Contains(from, i) {
			from[i] = i
			v.entries[i].value, v.entries[i].changed = listOf(values[i : i+1]).entries[0].value, true
		}
	}
	var kept, gone []entry
	for _, i := range from {
		if i >= 0 {
			kept = append(kept, v.entries[i])
		}
	}
	for i, e := range v.entries {
		if !slices.Contains(from, i) {
			gone = append(gone, e)
		}
	}
	v.reorder(slices.Concat(kept, gone))
	for n := len(v.entries); n > len(kept); n-- {
		v.remove(n - 1)
	}
	for i := range values {
		if from[i] < 0 {
			e := listOf(values[i : i+1]).entries[0]
			e.column, e.changed = v.entries[0].column, true
			if i == len(v.entries) {
				e.below, v.entries[i-1].below = v.entries[i-1].below, nil
			}
			v.entries = slices.Insert(v.entries, i, e)
		}
	}
}

// canHold reports whether a key or an item can come into a value: an empty
// block may turn into a list, and a scale that is a word into one with keys.
func (v *node) canHold(s step, at []step) bool {
	switch v.kind {
	case single:
		return s.isKey() && among(scalarOrBlock, at)
	case block:
		return s.isKey() || len(v.entries) == 0
	case list:
		return !s.isKey() || len(v.entries) == 0
	}
	return true
}

// noWay is the mistake of a path that goes through a value of another kind.
func noWay(at *node, done, steps []step) error {
	where := "the file"
	if len(done) > 0 {
		where = writePath(done)
	}
	called := map[nodeKind]string{nothing: "nothing", single: "a single value", block: "a block of keys",
		list: "a list"}[at.kind]
	return fmt.Errorf("study: there is no %s: %s is %s", writePath(steps), where, called)
}

func uneditable(steps []step) error {
	return fmt.Errorf("study: %s stands in the file in a way that cannot be edited here; edit the text of the file",
		writePath(steps))
}

func isEmptyLine(line string) bool { return strings.TrimSpace(line) == "" }
