package verify

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/stats"
)

// output says where a field of the vocabulary stands in what a method returns.
type output struct {
	name, path string
	keys       []string // of rows
	parts      []output
}

// outputs reads a list of fields, such as
//
//	n mean_diff=Diff ci welch{t df p} pairs=Pairs[a b]{a=@A b=@B p_holm}
//
// A name alone stands for the field of that name, mean_x for MeanX. After "="
// stands the way to it: fields and positions with dots between, "." for the
// whole. {…} are the fields of a part, or of each row when [keys] name what tells
// rows apart. @ is the sample's name in place of its position, before a list the
// values by the samples' names, alone the name at the row's own position.
func outputs(spec string) []output {
	words := strings.Fields(spacedOut.Replace(spec))
	list, rest := outputList(words)
	if len(rest) > 0 {
		panic("fields end before " + rest[0] + ": " + spec)
	}
	return list
}

var spacedOut = strings.NewReplacer("{", " { ", "}", " } ", "[", " [ ", "]", " ] ")

func outputList(words []string) (list []output, rest []string) {
	for len(words) > 0 && words[0] != "}" {
		o := output{name: words[0]}
		name, path, renamed := strings.Cut(o.name, "=")
		if o.name, o.path = name, path; !renamed {
			o.path = name
		}
		if words = words[1:]; len(words) > 0 && words[0] == "[" {
			end := slices.Index(words, "]")
			o.keys, words = words[1:end], words[end+1:]
		}
		if len(words) > 0 && words[0] == "{" {
			o.parts, words = outputList(words[1:])
			words = words[1:] // the closing bracket
		}
		list = append(list, o)
	}
	return list, words
}

// pick takes the fields out of what a method returned. What stands behind a nil
// pointer is left out: the method did not compute it.
func pick(list []output, from reflect.Value, labels []any, row int) fields {
	out := fields{}
	for _, o := range list {
		path, labelled := strings.CutPrefix(o.path, "@")
		if labelled && path == "" {
			out[o.name] = labels[row]
			continue
		}
		v, ok := follow(from, path)
		if !ok {
			continue
		}
		computed := o.convert(v, labels)
		if labelled {
			computed = label(computed, labels)
		}
		out[o.name] = computed
	}
	return out
}

// follow goes a way from a value. A field that is not there is a mistake of the
// table of methods.
func follow(v reflect.Value, path string) (reflect.Value, bool) {
	for step := range strings.SplitSeq(path, ".") {
		v = behind(v)
		position, err := strconv.Atoi(step)
		switch {
		case step == "" && v.IsValid():
			continue
		case !v.IsValid(), err == nil && position >= v.Len():
			return v, false
		case err == nil:
			v = v.Index(position)
		case v.Kind() == reflect.Map:
			v = v.MapIndex(reflect.ValueOf(step))
		default:
			spelled := strings.ReplaceAll(step, "_", "")
			f := v.FieldByNameFunc(func(name string) bool { return strings.EqualFold(name, spelled) })
			if !f.IsValid() {
				panic(fmt.Sprintf("%s has no field %s", v.Type(), step))
			}
			v = f
		}
	}
	v = behind(v)
	return v, v.IsValid()
}

func behind(v reflect.Value) reflect.Value {
	for v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface {
		v = v.Elem()
	}
	return v
}

// convert makes a value comparable with one of a reference file.
func (o output) convert(v reflect.Value, labels []any) any {
	v = behind(v)
	if !v.IsValid() {
		return nil
	}
	switch known := v.Interface().(type) {
	case stats.Interval:
		return []any{known.Lo, known.Hi}
	case fields:
		out := fields{}
		for name, part := range known {
			out[name] = o.convert(reflect.ValueOf(part), labels)
		}
		return out
	case fmt.Stringer:
		return known.String()
	}
	switch {
	case v.Kind() == reflect.Struct:
		return pick(o.parts, v, labels, 0)
	case v.Kind() != reflect.Slice && v.Kind() != reflect.Array:
		return scalar(v)
	case o.parts != nil:
		out := rows{keys: o.keys}
		for i := range v.Len() {
			out.list = append(out.list, pick(o.parts, behind(v.Index(i)), labels, i))
		}
		return out
	}
	list := make([]any, v.Len())
	for i := range list {
		list[i] = o.convert(v.Index(i), labels)
	}
	return list
}

func scalar(v reflect.Value) any {
	switch {
	case v.CanInt():
		return float64(v.Int())
	case v.CanFloat():
		return v.Float()
	}
	return v.Interface()
}

// label puts the samples' names in: for a position, or before each value of a list.
func label(v any, labels []any) any {
	list, ok := v.([]any)
	if !ok {
		return labels[int(v.(float64))]
	}
	out := fields{}
	for i, value := range list {
		out[fmt.Sprint(labels[i])] = value
	}
	return out
}

// warningsOf gathers the warnings of a result and its parts.
func warningsOf(v reflect.Value) (out []stats.Warning) {
	v = behind(v)
	if v.Kind() != reflect.Struct {
		return nil
	}
	for i := range v.NumField() {
		switch f := v.Field(i); {
		case !f.CanInterface():
		case f.Type() == reflect.TypeFor[[]stats.Warning]():
			out = append(out, f.Interface().([]stats.Warning)...)
		default:
			out = append(out, warningsOf(f)...)
		}
	}
	return out
}
