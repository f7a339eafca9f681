package study

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// maxProblems bounds the report on a file that is no study at all.
const maxProblems = 1000

// reader walks the tree of a study file, collects every mistake and remembers
// where each value stands, by its path ("dishes[0].serve at"), for the checks
// that look at several values at once.
type reader struct {
	file     string
	lines    []string
	problems []Problem
	places   map[string]place
	bad      map[string]bool // paths whose value could not be read
	comments map[int]string  // of the text, by line, from 0
}

// problem records a mistake in the value at a path. The place is kept inside the
// file, whatever the parser said.
func (r *reader) problem(path string, at place, what, instead Said) {
	if len(r.problems) > maxProblems {
		return
	}
	if len(r.problems) == maxProblems {
		path, at, what, instead = "", start, Say("more than %d mistakes", maxProblems),
			Say("write these anew, then check again for the rest")
	}
	at.line = max(1, min(at.line, len(r.lines)))
	if len(r.lines) == 0 {
		at.column = 1
	} else {
		at.column = max(1, min(at.column, len([]rune(r.lines[at.line-1]))+1))
	}
	r.problems = append(r.problems, Problem{File: r.file, Line: at.line, Column: at.column, What: what,
		Instead: instead, Path: path})
}

// reject records a mistake in the value at a path, which later checks then
// leave alone.
func (r *reader) reject(path string, what, instead Said) {
	r.bad[path] = true
	r.problem(path, r.at(path), what, instead)
}

// at is the place of a path, or of the nearest thing around it that is written
// in the file.
func (r *reader) at(path string) place {
	for path != "" {
		if p, ok := r.places[path]; ok {
			return p
		}
		path = path[:max(0, strings.LastIndexAny(path, ".["))]
	}
	return start
}

// sound reports whether the values at these paths could be read.
func (r *reader) sound(paths ...string) bool {
	return !slices.ContainsFunc(paths, func(p string) bool { return r.bad[p] })
}

// written reports whether a path stands in the file.
func (r *reader) written(path string) bool {
	_, ok := r.places[path]
	return ok
}

func (r *reader) sorted() []Problem {
	slices.SortStableFunc(r.problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return slices.CompactFunc(r.problems, func(a, b Problem) bool { return a.Path == b.Path && a.Error() == b.Error() })
}

// key is a key that may stand in an object of the file.
type key struct {
	name     string
	required bool
	example  Said // how the key is written
}

// required is a key that has to be written, and how; optional one that may be left out.
func required(name, example string, values ...any) key {
	return key{name, true, Say(example, values...)}
}

func optional(name string) key { return key{name: name} }

// object is a block of "key: value" lines.
type object struct {
	*reader
	path   string
	called Said // as messages call it: "a dish"
	keys   []key
	values map[string]ast.Node
	meant  map[string]bool // keys that a misspelt key was probably meant to be
}

// object reads a block: unknown keys, keys written twice and required keys left
// out are mistakes. It reports false when there is no block.
func (r *reader) object(path string, called Said, node ast.Node, keys []key) (object, bool) {
	o := object{reader: r, path: path, called: called, keys: keys, values: map[string]ast.Node{},
		meant: map[string]bool{}}
	pairs, ok := pairsOf(node)
	if !ok {
		r.reject(path, Say("%s is written as %s", called, kindOf(node)),
			Say("write its keys, one \"key: value\" a line: %s", keyNames(keys)))
		return o, false
	}
	for _, pair := range pairs {
		o.add(pair, keys)
	}
	for _, k := range keys {
		if _, ok := o.values[k.name]; ok {
			continue
		}
		if o.meant[k.name] {
			o.bad[o.sub(k.name)] = true
		} else if k.required {
			o.reject(o.sub(k.name), Say("%s has no %q", called, k.name), Say("write %s", k.example))
		}
	}
	return o, true
}

func (o object) add(pair *ast.MappingValueNode, keys []key) {
	at := placeOfNode(pair.Key)
	name := keyOf(pair.Key)
	path := o.sub(name)
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.name
	}
	if !slices.Contains(names, name) {
		if w, ok := nearest(name, names); ok {
			o.meant[w] = true
		}
		o.problem(path, at, Say("%s is not a key of %s", quoted(name), o.called), write(name, names))
		return
	}
	if _, ok := o.values[name]; ok {
		o.problem(path, at, Say("%q is written twice in %s, first in line %d", name, o.called, o.at(path).line),
			Say("write it once"))
		return
	}
	o.values[name] = pair.Value
	o.places[path] = at
	if pair.Value != nil && pair.Value.Type() != ast.NullType {
		o.places[path] = placeOfNode(pair.Value)
	}
}

func keyOf(k ast.MapKeyNode) string {
	if s, ok := k.(*ast.StringNode); ok {
		return s.Value
	}
	return strings.TrimSpace(k.GetToken().Value)
}

// sub is the path of a key of the object.
func (o object) sub(name string) string {
	if o.path == "" {
		return PathKey(name)
	}
	return o.path + "." + PathKey(name)
}

// value returns the value of a key that is written and not empty.
func (o object) value(name string) (ast.Node, bool) {
	node, ok := o.values[name]
	if !ok || node == nil {
		return nil, false
	}
	if node.Type() == ast.NullType {
		instead := Say("write one after the colon, or leave the line out")
		if i := slices.IndexFunc(o.keys, func(k key) bool { return k.name == name && k.required }); i >= 0 {
			instead = Say("write %s", o.keys[i].example)
		}
		o.reject(o.sub(name), Say("%q has no value", name), instead)
		return nil, false
	}
	return node, true
}

// list calls each for every item of a list of lo to hi items. An absent list is
// no mistake here: a required key has been reported already.
func (o object) list(name string, lo, hi int, each func(path string, node ast.Node)) {
	node, ok := o.value(name)
	if !ok {
		return
	}
	path := o.sub(name)
	seq, ok := node.(*ast.SequenceNode)
	if !ok {
		o.reject(path, Say("%q is written as %s", name, kindOf(node)),
			Say("write a list: one \"- item\" a line, or [first, second]"))
		return
	}
	if n := len(seq.Values); n < lo || n > hi {
		o.reject(path, Say("%q holds %s", name, count(n, "item")), Say("write %s", between(lo, hi)))
		if n > hi {
			return
		}
	}
	for i, item := range seq.Values {
		p := fmt.Sprintf("%s[%d]", path, i)
		o.places[p] = placeOfNode(item)
		each(p, item)
	}
}

func pairsOf(node ast.Node) ([]*ast.MappingValueNode, bool) {
	if n, ok := node.(*ast.MappingNode); ok {
		return n.Values, true
	}
	return nil, false
}

// kindOf says in plain words how a value is written.
func kindOf(node ast.Node) Said {
	switch node.(type) {
	case *ast.MappingNode:
		return Say("a block of keys")
	case *ast.SequenceNode:
		return Say("a list")
	case *ast.IntegerNode, *ast.FloatNode, *ast.InfinityNode, *ast.NanNode:
		return Say("a number")
	case *ast.BoolNode:
		return Say("true or false")
	case *ast.NullNode:
		return Say("nothing")
	case *ast.LiteralNode:
		return Say("a paragraph")
	}
	return Say("text")
}

func keyNames(keys []key) string {
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.name
	}
	return strings.Join(names, ", ")
}

// between says how many items a list may hold.
func between(lo, hi int) Said {
	if lo == hi {
		return Say("%d", lo)
	}
	return Say("%d to %d", lo, hi)
}

// count is "1 item", "3 items".
func count(n int, thing string) Said {
	if n == 1 {
		return Say("1 " + thing)
	}
	return Say("%d "+thing+"s", n)
}

// quoted shows what was typed, cut to a length that fits a line.
func quoted(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return fmt.Sprintf("%q", s)
}
