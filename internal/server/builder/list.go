package builder

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/study"
)

// listActs are what the buttons of an item do; what they get is its path.
var listActs = map[string]act{
	"up":     func(b *builder, item string) (string, error) { return b.move(item, -1) },
	"down":   func(b *builder, item string) (string, error) { return b.move(item, 1) },
	"remove": func(b *builder, item string) (string, error) { return b.remove(item) },
}

// listed is a path of an item of one of the lists that the builder edits.
var listed = regexp.MustCompile(`^(dishes|names|samples|attributes|panel\.screening|serving\.strata)\[(\d{1,3})\]$`)

// item splits the path of an item; the item must be there, and of this step.
func (b *builder) item(path string) (list string, i int, err error) {
	m := listed.FindStringSubmatch(path)
	if m == nil || b.owner(m[1]) != b.step.name {
		return "", 0, errors.New("there is no such item on this page")
	}
	if i, _ = strconv.Atoi(m[2]); i >= b.text.Len(m[1]) {
		return "", 0, errors.New("that item is gone already")
	}
	return m[1], i, nil
}

func (b *builder) move(path string, by int) (string, error) {
	list, i, err := b.item(path)
	if err != nil {
		return "", err
	}
	to := i + by
	if to < 0 || to >= b.text.Len(list) {
		return path, nil
	}
	return fmt.Sprintf("%s[%d]", list, to), b.text.Move(path, to)
}

// remove takes an item out, with what cannot be without it: the samples of a dish
// or a name, and the words of a name, an attribute or an ingredient in other
// languages.
func (b *builder) remove(path string) (string, error) {
	list, _, err := b.item(path)
	if err != nil {
		return "", err
	}
	id, contained := b.text.Value(path+".id"), b.text.List(path+".also contains")
	if err := b.text.Remove(path); err != nil {
		return "", err
	}
	if err := b.dropContained(contained); err != nil {
		return "", err
	}
	if key, ok := map[string]string{"dishes": "dish", "names": "name"}[list]; ok && id != "" {
		if err := b.removeSamples(key, id); err != nil {
			return "", err
		}
	}
	if list == screeningAt && id != "" {
		return list, b.removeWords("screening", id)
	}
	if list == strataAt && id != "" {
		return list, b.removeWords("strata", id)
	}
	if list != "names" && list != "attributes" || id == "" {
		return list, nil
	}
	return list, b.removeWords(list, id)
}

// removeSamples takes out the samples of a dish or a name.
func (b *builder) removeSamples(key, id string) error {
	for i := b.text.Len("samples") - 1; i >= 0; i-- {
		path := fmt.Sprintf("samples[%d]", i)
		if b.text.Value(path+"."+key) != id {
			continue
		}
		if err := b.text.Remove(path); err != nil {
			return err
		}
	}
	return nil
}

// removeWords takes the words of a name, an attribute or an ingredient out of every translation.
func (b *builder) removeWords(list, id string) error {
	for _, lang := range b.text.Keys("translations") {
		if err := b.text.Remove("translations." + lang + "." + list + "." + study.PathKey(id)); err != nil {
			return err
		}
	}
	return nil
}

// add appends an item to a list, with an id made of its words.
func (b *builder) add(list, words string, pairs ...string) (string, error) {
	path := fmt.Sprintf("%s[%d]", list, b.text.Len(list))
	var taken []string
	for i := range b.text.Len(list) {
		taken = append(taken, b.text.Value(fmt.Sprintf("%s[%d].id", list, i)))
	}
	kind := strings.TrimSuffix(list[strings.LastIndex(list, ".")+1:], "s")
	pairs = append([]string{"id", study.NewID(words, kind, taken)}, pairs...)
	for i := 0; i+1 < len(pairs); i += 2 {
		if err := b.text.Set(path+"."+pairs[i], pairs[i+1]); err != nil {
			return "", err
		}
	}
	return path, nil
}

// addSample appends a sample under the next free letter; name "" is a blind one.
func (b *builder) addSample(dish, name string) error {
	path := fmt.Sprintf("samples[%d]", b.text.Len("samples"))
	if err := b.text.Set(path+".id", b.nextLetter()); err != nil {
		return err
	}
	if err := b.text.Set(path+".dish", dish); err != nil {
		return err
	}
	if name == "" {
		return b.text.Set(path+".blind", "true")
	}
	return b.text.Set(path+".name", name)
}

// nextLetter is the first letter that no sample has and nothing else speaks of: a new
// sample must not slip into the comparison that was chosen for another.
func (b *builder) nextLetter() string {
	taken := b.text.List("analysis.compare")
	for _, path := range []string{"serving.warm-up", "serving.fixed reference"} {
		taken = append(taken, b.text.Value(path))
	}
	for i := range b.text.Len("samples") {
		taken = append(taken, strings.ToUpper(b.text.Value(fmt.Sprintf("samples[%d].id", i))))
	}
	for c := 'A'; c <= 'Z'; c++ {
		if !slices.Contains(taken, string(c)) {
			return string(c)
		}
	}
	return study.NewID("S", "s", taken)
}

// itemActs are the buttons of an item of a list of n.
func itemActs(path string, i, n int, about string) []buildAct {
	var acts []buildAct
	if i > 0 {
		acts = append(acts, buildAct{"up " + path, "Move up", about})
	}
	if i+1 < n {
		acts = append(acts, buildAct{"down " + path, "Move down", about})
	}
	return append(acts, buildAct{"remove " + path, "Remove", about})
}

// adder is a field whose words make a new item when the page is saved.
func adder(list, label, hint string, add func(b *builder, words string) error) buildField {
	f := buildField{Name: "add " + list, ID: "add-" + list, Label: label, Hint: hint, Kind: oneLine}
	f.writeTo = func(b *builder, sent []string) error { return add(b, sent[0]) }
	return f
}
