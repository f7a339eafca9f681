package datapackage

import "cloche/internal/report"

// flow is how people went through the study, as the report shows it. Empty when nobody
// answered.
func (d Data) flow() (table, error) {
	t := table{name: "flow", title: "How many came how far, from the plan to the findings", key: []string{"number"},
		fields: []field{numberField,
			{name: "station", kind: whole, required: true, says: "Number of the station on the way, from 1."},
			{name: "part", kind: yesNo, required: true, says: "Whether these are part of a station's people or " +
				"places, or did not come to it, and not the station itself."},
			{name: "count", kind: whole, required: true, says: "How many people or places."},
			{name: "says", kind: text, required: true, says: "What became of them."}}}
	if d.Findings == nil {
		return t, nil
	}
	for i, s := range report.FlowSteps(d.Report.Flow, d.Findings) {
		if err := t.add(len(t.rows)+1, i+1, false, s.N, s.Text); err != nil {
			return t, err
		}
		for _, x := range s.Aside {
			if err := t.add(len(t.rows)+1, i+1, true, x.N, x.Text); err != nil {
				return t, err
			}
		}
	}
	return t, nil
}
