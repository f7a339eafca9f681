package datapackage

import (
	"fmt"

	"cloche/internal/panel"
)

// Tables of what happened in the room. One that has no rows is left out.

func (d Data) comments() (table, error) {
	t := table{name: "comments", title: "What assessors wrote about servings",
		fields: []field{numberField, assessorField, positionField, codeField, sampleField,
			{name: "comment", kind: text, says: "The comment, as it was written.", required: true}, byField},
		key: []string{"number"}, refers: []refer{{"sample", "samples", "sample"}}}
	for i, c := range d.Comments {
		if err := t.add(i+1, c.Assessor, c.Position, c.Code, c.Sample, c.Text, c.EnteredBy); err != nil {
			return t, err
		}
	}
	return t, nil
}

// replaced has answers that do not count: a correction took their place, or they
// arrived after it.
func (d Data) replaced() (table, error) {
	t := table{name: "replaced", title: "Answers that were corrected and do not count",
		fields: []field{numberField, assessorField, codeField, readField, attributeField, valueField, ratedField,
			{name: "replaced_at", kind: datetime, unit: "UTC", says: "When the correction took their place.", required: true}, byField},
		key: []string{"number"}, refers: []refer{{"attribute", "attributes", "attribute"}}}
	plan := d.byID()
	for _, r := range d.Replaced {
		v, found := plan[r.ServingID]
		if r.AfterClose {
			continue // see late
		}
		if !found {
			return t, fmt.Errorf("answers were replaced of serving %s, which the plan lacks", r.ServingID)
		}
		for _, a := range r.Answers {
			err := t.add(len(t.rows)+1, v.Place+1, codeOf(v), d.readName(v), string(a.Attribute), a.Value, r.At, r.ReplacedAt, r.EnteredBy)
			if err != nil {
				return t, err
			}
		}
	}
	return t, nil
}

// late has answers that arrived after the close and are not analysed.
func (d Data) late() (table, error) {
	arrived := ratedField
	arrived.name, arrived.says = "arrived_at", "When the answer reached the service, after the study was closed."
	t := table{name: "late", title: "Answers that arrived after the close and are not analysed",
		fields: []field{numberField, assessorField, codeField, readField, attributeField, valueField, arrived,
			{name: "comment", kind: text, says: "What the assessor wrote about the serving."}, byField},
		key: []string{"number"}, refers: []refer{{"attribute", "attributes", "attribute"}}}
	plan := d.byID()
	for _, r := range d.Replaced {
		if !r.AfterClose {
			continue
		}
		v, found := plan[r.ServingID]
		if !found {
			return t, fmt.Errorf("answers arrived after the close for serving %s, which the plan lacks", r.ServingID)
		}
		for _, a := range r.Answers {
			err := t.add(len(t.rows)+1, v.Place+1, codeOf(v), d.readName(v), string(a.Attribute), a.Value, r.At, r.Comment, r.EnteredBy)
			if err != nil {
				return t, err
			}
		}
	}
	return t, nil
}

var readField = field{name: "read_name", kind: text, says: "Id of the name, where the answer was what was expected of it before tasting; missing for a plate."}

// readName is the name of a serving that is read and not tasted; "" for a plate.
func (d Data) readName(v panel.Serving) string {
	if !v.IsRead() {
		return ""
	}
	x, _ := d.Study.Asked.Sample(v.Sample)
	return string(x.Name)
}

func (d Data) dropped() (table, error) {
	t := table{name: "dropped", title: "Plates that were dropped, with the code that a spare replaced",
		fields: []field{numberField, assessorField,
			{name: "serving", kind: whole, says: "Number of the serving in the key.", required: true},
			{name: "old_code", kind: text, says: "Code of the plate that was dropped.", required: true},
			{name: "dropped_at", kind: datetime, unit: "UTC", says: "When floor noted it.", required: true},
			{name: "taken_back_at", kind: datetime, unit: "UTC", says: "When floor took that back: the earlier code stood again, and the spare was the code in between."}},
		key: []string{"number"}}
	plan := d.byID()
	for i, x := range d.Dropped {
		v, found := plan[x.ServingID]
		if !found {
			return t, fmt.Errorf("a plate was dropped of serving %s, which the plan lacks", x.ServingID)
		}
		if err := t.add(i+1, v.Place+1, v.Order+1, x.Code, x.At, x.TakenBack); err != nil {
			return t, err
		}
	}
	return t, nil
}

func (d Data) temperatures() (table, error) {
	t := table{name: "temperatures", title: "Temperatures that the kitchen measured",
		fields: []field{numberField,
			{name: "sitting", kind: whole, says: "Number of the sitting, from 1.", required: true},
			{name: "wave", kind: whole, says: "Number of the wave within the sitting, from 1.", required: true},
			dishField,
			{name: "celsius", kind: number, unit: "°C", says: "The temperature.", required: true},
			{name: "measured_at", kind: datetime, unit: "UTC", says: "When it was noted.", required: true},
			{name: "who", kind: text, says: "Who noted it."},
			{name: "corrects", kind: whole, says: "Number of the entry that it corrects; empty when it corrects none."}},
		key: []string{"number"}}
	number := map[string]int{}
	for _, x := range d.Sittings {
		number[x.ID] = x.Number
	}
	entries := map[int64]int{}
	for i, m := range d.Measured {
		entries[m.ID] = i + 1
		var corrects any
		if m.Corrects != 0 {
			corrects = entries[m.Corrects]
		}
		if err := t.add(i+1, number[m.SittingID], m.Wave, string(m.Dish), m.Celsius, m.At, m.Who, corrects); err != nil {
			return t, err
		}
	}
	return t, nil
}

// byID finds servings of the plan.
func (d Data) byID() map[string]panel.Serving {
	plan := make(map[string]panel.Serving, len(d.Servings))
	for _, v := range d.Servings {
		plan[v.ID] = v
	}
	return plan
}
