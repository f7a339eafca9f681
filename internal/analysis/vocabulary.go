package analysis

import (
	"fmt"
	"strings"

	"cloche/internal/study"
)

// vocabulary finds the parts of a study by id or by their words. An exact id
// wins over words.
type vocabulary struct {
	s          *study.Study
	dishes     map[string]study.DishID
	names      map[string]study.NameID
	attributes map[string]study.AttributeID
	samples    map[served]study.SampleID
}

// served is a dish under a name, "" when blind.
type served struct {
	dish study.DishID
	name study.NameID
}

func newVocabulary(s *study.Study) vocabulary {
	v := vocabulary{s, map[string]study.DishID{}, map[string]study.NameID{},
		map[string]study.AttributeID{}, map[served]study.SampleID{}}
	for _, d := range s.Dishes {
		v.dishes[fold(d.Title)] = d.ID
	}
	for _, n := range s.Names {
		v.names[fold(n.Text)] = n.ID
	}
	for _, a := range s.Attributes {
		v.attributes[fold(a.Ask)] = a.ID
	}
	for _, x := range s.Samples {
		if _, twice := v.samples[served{x.Dish, x.Name}]; !twice {
			v.samples[served{x.Dish, x.Name}] = x.ID
		}
	}
	return v
}

// sample finds the sample of a row by its dish and its name.
func (v vocabulary) sample(row csvRow) study.SampleID {
	dish, okDish := v.dish(row, "dish")
	name, okName := v.name(row)
	if !okDish || !okName {
		return ""
	}
	id, ok := v.samples[served{dish, name}]
	if !ok {
		what := fmt.Sprintf("the study has no sample of %q under the name %q", dish, name)
		if name == "" {
			what = fmt.Sprintf("the study has no blind sample of %q", dish)
		}
		row.report("name", what, "samples are "+v.list())
	}
	return id
}

// reference reads what the known reference of a turn was; "" where there is none.
func (v vocabulary) reference(row csvRow) study.SampleID {
	switch {
	case !v.s.Question.Kind().Reference:
		return ""
	case !v.s.ReferenceVaries():
		return v.s.Samples[0].ID
	}
	dish, ok := v.dish(row, "reference")
	if !ok {
		return ""
	}
	return v.samples[served{dish: dish}]
}

func (v vocabulary) dish(row csvRow, column string) (study.DishID, bool) {
	text := row.text(column)
	if _, ok := v.s.Dish(study.DishID(text)); ok {
		return study.DishID(text), true
	}
	if id, ok := v.dishes[fold(text)]; ok && text != "" {
		return id, true
	}
	ids := make([]string, len(v.s.Dishes))
	for i, d := range v.s.Dishes {
		ids[i] = string(d.ID)
	}
	row.report(column, fmt.Sprintf("the study has no dish %q", text), "write one of "+strings.Join(ids, ", "))
	return "", false
}

func (v vocabulary) name(row csvRow) (study.NameID, bool) {
	text := row.text("name")
	if text == "" {
		return "", true
	}
	if _, ok := v.s.Name(study.NameID(text)); ok {
		return study.NameID(text), true
	}
	if id, ok := v.names[fold(text)]; ok {
		return id, true
	}
	ids := make([]string, len(v.s.Names))
	for i, n := range v.s.Names {
		ids[i] = string(n.ID)
	}
	row.report("name", fmt.Sprintf("the study has no name %q", text),
		"write one of "+strings.Join(ids, ", ")+", or nothing for a blind sample")
	return "", false
}

func (v vocabulary) attribute(row csvRow) (study.Attribute, bool) {
	text := row.text("attribute")
	id := study.AttributeID(text)
	if byWords, ok := v.attributes[fold(text)]; ok {
		id = byWords
	}
	if a, ok := v.s.Attribute(study.AttributeID(text)); ok {
		return a, true
	}
	if a, ok := v.s.Attribute(id); ok && text != "" {
		return a, true
	}
	ids := make([]string, len(v.s.Attributes))
	for i, a := range v.s.Attributes {
		ids[i] = string(a.ID)
	}
	row.report("attribute", fmt.Sprintf("the study has no attribute %q", text), "write one of "+strings.Join(ids, ", "))
	return study.Attribute{}, false
}

// list names the samples for a message.
func (v vocabulary) list() string {
	parts := make([]string, len(v.s.Samples))
	for i, x := range v.s.Samples {
		name := string(x.Name)
		if name == "" {
			name = "blind"
		}
		parts[i] = fmt.Sprintf("%s (%s, %s)", x.ID, x.Dish, name)
	}
	return strings.Join(parts, ", ")
}
