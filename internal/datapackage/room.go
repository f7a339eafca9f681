package datapackage

import (
	"fmt"

	"cloche/internal/panel"
)

// Tables of what happened in the room. One that has no rows is left out.

func (d Data) comments() (table, error) {
	sample := sampleField
	sample.required = false
	t := table{name: "comments", title: "What assessors wrote about servings",
		fields: []field{numberField, assessorField, turnField, positionField, codeField, sample,
			{name: "comment", kind: text, says: "The comment, as it was written.", required: true}, byField},
		key: []string{"number"}, refers: []refer{{"sample", "samples", "sample"}}}
	for i, c := range d.Comments {
		if err := t.add(i+1, c.Assessor, c.Turn, c.Position, string(c.Code), string(c.Sample), c.Text,
			c.EnteredBy); err != nil {
			return t, err
		}
	}
	return t, nil
}

// replaced has answers that do not count: a correction took their place, or they
// arrived after it.
func (d Data) replaced() (table, error) {
	t := table{name: "replaced", title: "Answers that were corrected and do not count",
		fields: []field{numberField, assessorField, turnField, codeField, readField, attributeField, valueField,
			ratedField,
			{name: "replaced_at", kind: datetime, unit: "UTC", says: "When the correction took their place.",
				required: true}, byField},
		key: []string{"number"}, refers: []refer{{"attribute", "attributes", "attribute"}}}
	plan := d.byID()
	for _, r := range d.Replaced {
		turn, found := plan[r.TurnID]
		if r.AfterClose {
			continue // see late
		}
		if !found {
			return t, fmt.Errorf("answers were replaced of turn %s, which the plan lacks", r.TurnID)
		}
		for _, a := range r.Answers {
			err := t.add(len(t.rows)+1, turn.Place+1, turn.Order+1, codeOf(turn, a.ServingID), string(turn.Name),
				string(a.Attribute), a.Value, r.At, r.ReplacedAt, r.EnteredBy)
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
		fields: []field{numberField, assessorField, turnField, codeField, readField, attributeField, valueField,
			arrived,
			{name: "comment", kind: text, says: "What the assessor wrote about the serving."}, byField},
		key: []string{"number"}, refers: []refer{{"attribute", "attributes", "attribute"}}}
	plan := d.byID()
	for _, r := range d.Replaced {
		if !r.AfterClose {
			continue
		}
		turn, found := plan[r.TurnID]
		if !found {
			return t, fmt.Errorf("answers arrived after the close for turn %s, which the plan lacks", r.TurnID)
		}
		for _, a := range r.Answers {
			err := t.add(len(t.rows)+1, turn.Place+1, turn.Order+1, codeOf(turn, a.ServingID), string(turn.Name),
				string(a.Attribute), a.Value, r.At, r.Comment, r.EnteredBy)
			if err != nil {
				return t, err
			}
		}
	}
	return t, nil
}

var readField = field{name: "read_name", kind: text,
	says: "Id of the name, where the answer was what was expected of it before tasting; missing for a plate."}

// codeOf is the code on a plate of a turn; "" for none.
func codeOf(turn panel.Turn, id panel.ServingID) string {
	for _, v := range turn.Servings {
		if v.ID == id {
			return string(v.Code)
		}
	}
	return ""
}

func (d Data) dropped() (table, error) {
	t := table{name: "dropped", title: "Plates that were dropped, with the code that a spare replaced",
		fields: []field{numberField, assessorField,
			turnField,
			{name: "serving", kind: whole, says: "Number of the serving within its turn, as in the key.",
				required: true},
			{name: "old_code", kind: text, says: "Code of the plate that was dropped.", required: true},
			{name: "dropped_at", kind: datetime, unit: "UTC", says: "When floor noted it.", required: true},
			{name: "taken_back_at", kind: datetime, unit: "UTC",
				says: "When floor took that back: the earlier code stood again, the spare was the code in between."},
		},
		key: []string{"number"}}
	plates := d.plates()
	for i, x := range d.Dropped {
		p, found := plates[x.ServingID]
		if !found {
			return t, fmt.Errorf("a plate was dropped of serving %s, which the plan lacks", x.ServingID)
		}
		if err := t.add(i+1, p.turn.Place+1, p.turn.Order+1, p.Order+1, string(x.Code), x.At, x.TakenBack); err != nil {
			return t, err
		}
	}
	return t, nil
}

func (d Data) temperatures() (table, error) {
	t := table{name: "temperatures", title: "Temperatures that the kitchen measured",
		fields: []field{numberField,
			sittingField,
			{name: "wave", kind: whole, says: "Number of the wave within the sitting, from 1.", required: true},
			dishField,
			{name: "celsius", kind: number, unit: "°C", says: "The temperature.", required: true},
			{name: "measured_at", kind: datetime, unit: "UTC", says: "When it was noted.", required: true},
			{name: "who", kind: text, says: "Who noted it."},
			{name: "corrects", kind: whole, says: "Number of the entry that it corrects; empty when it corrects none."},
		},
		key: []string{"number"}}
	number := map[panel.SittingID]int{}
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
		if err := t.add(i+1, number[m.SittingID], m.Wave, string(m.Dish), m.Celsius, m.At, m.Who,
			corrects); err != nil {
			return t, err
		}
	}
	return t, nil
}

// byID finds turns of the plan.
func (d Data) byID() map[panel.TurnID]panel.Turn {
	plan := make(map[panel.TurnID]panel.Turn, len(d.Turns))
	for _, x := range d.Turns {
		plan[x.ID] = x
	}
	return plan
}

// plateOf is a serving with its turn.
type plateOf struct {
	panel.Serving
	turn panel.Turn
}

func (d Data) plates() map[panel.ServingID]plateOf {
	plates := map[panel.ServingID]plateOf{}
	for _, x := range d.Turns {
		for _, v := range x.Servings {
			plates[v.ID] = plateOf{v, x}
		}
	}
	return plates
}
