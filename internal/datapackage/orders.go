package datapackage

import (
	"cloche/internal/design"
	"cloche/internal/study"
)

// orders says in which order each assessor was asked the attributes, where that was
// not the same for all.
func (d Data) orders() (table, error) {
	t := table{name: "orders", title: "Orders of the questions, drawn for each assessor",
		fields: []field{assessorField,
			{name: "place", kind: whole, says: "Place of the question among those of each serving, from 1.",
				required: true},
			attributeField},
		key:    []string{"assessor", "place"},
		refers: []refer{{"attribute", "attributes", "attribute"}}}
	a := d.Study.Spec
	if list, ok := a.Words(); ok {
		return d.wordOrders(t, list.Scale.Ticks)
	}
	if a.Serving.Attributes != study.RotatedOrder {
		return t, nil
	}
	for i := range d.Plan.Assessors {
		for place, x := range design.AttributeOrder(a, d.Study.Lock.Seed, i) {
			if err := t.add(i+1, place+1, string(a.Attributes[x].ID)); err != nil {
				return t, err
			}
		}
	}
	return t, nil
}

// wordOrders says in which order each assessor read the words of a list at each position.
func (d Data) wordOrders(t table, words []study.AttributeID) (table, error) {
	t.title = "Orders of the words, drawn for each assessor and position"
	t.fields = []field{assessorField, positionField, {name: "place", kind: whole,
		says: "Place of the word in the list, from 1, the top.", required: true}, attributeField}
	t.key = []string{"assessor", "position", "place"}
	for i := range d.Plan.Assessors {
		for position := range len(d.Study.Spec.Samples) {
			for place, x := range design.WordOrder(len(words), d.Study.Lock.Seed, i, position+1) {
				if err := t.add(i+1, position+1, place+1, string(words[x])); err != nil {
					return t, err
				}
			}
		}
	}
	return t, nil
}
