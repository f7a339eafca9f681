package datapackage

import (
	"fmt"
	"strings"

	"cloche/internal/panel"
)

// incidents has what went wrong with a turn, as floor saw it.
func (d Data) incidents() (table, error) {
	var kinds []string
	for _, x := range panel.Incidents() {
		kinds = append(kinds, fmt.Sprintf("%s (%s)", x, x.Words()))
	}
	t := table{name: "incidents",
		title: "What went wrong with a serving, as floor noted it; the answers are analysed all the " +
			"same",
		fields: []field{numberField, assessorField, turnField,
			{name: "codes", kind: text, says: "Codes on the plates of the turn.", required: true},
			{name: "what", kind: text, says: "What happened: " + strings.Join(kinds, ", ") + ".", required: true},
			{name: "noted_at", kind: datetime, unit: "UTC", says: "When it was noted.", required: true},
			{name: "who", kind: text, says: "Who of the staff noted it.", required: true}},
		key: []string{"number"}}
	plan := d.byID()
	for i, x := range d.Incidents {
		turn, found := plan[x.TurnID]
		if !found {
			return t, fmt.Errorf("something went wrong with turn %s, which the plan lacks", x.TurnID)
		}
		if err := t.add(i+1, turn.Place+1, turn.Order+1, string(turn.Key()), string(x.What), x.At, x.Who); err != nil {
			return t, err
		}
	}
	return t, nil
}
