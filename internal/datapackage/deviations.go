package datapackage

// deviations are what went otherwise than planned, as the report says it.
func (d Data) deviations() (table, error) {
	t := table{name: "deviations", title: "What went otherwise than planned, as far as it is on record",
		key: []string{"number"}, fields: []field{numberField,
			{name: "what", kind: text, required: true, says: "What it is, as a stable word."},
			{name: "count", kind: whole, required: true, says: "How many; 1 for a change of the plan itself."},
			{name: "of", kind: whole, says: "Out of how many; missing for the plan. Turns and plates are " +
				"those of people who took a place and kept their answers."},
			{name: "unit", kind: text, required: true, says: "What is counted: assessors (or their places), turns, " +
				"answered turns, plates, or plan."},
			{name: "says", kind: text, required: true, says: "In words."}}}
	for i, x := range d.Report.Deviations {
		var of any // missing for the plan
		if x.Of > 0 {
			of = x.Of
		}
		if err := t.add(i+1, x.What, x.N, of, x.Unit, x.Text); err != nil {
			return t, err
		}
	}
	return t, nil
}
