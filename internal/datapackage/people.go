package datapackage

import (
	"strings"
	"time"

	"cloche/internal/panel"
)

// assessors has who took part, by number: nothing by which anybody could be found.
func (d Data) assessors() (table, error) {
	t := table{name: "assessors", title: "Who took part, by number: no names, no seats, nothing to reach them by",
		fields: []field{assessorField, sittingField,
			{name: "language", kind: text, says: "Language in which the assessor agreed (BCP 47); missing where " +
				"there was no choice or the assessor had no phone."},
			{name: "phone", kind: yesNo, required: true,
				says: "Whether the assessor answered on a phone of their own."},
			{name: "joined_at", kind: datetime, unit: "UTC", required: true, says: "When the assessor took the place."},
			{name: "began_at", kind: datetime, unit: "UTC", says: "When the assessor began; missing when never."},
			{name: "finished_at", kind: datetime, unit: "UTC",
				says: "When the last answer about a plate was given; missing when it never was."},
			{name: "left_at", kind: datetime, unit: "UTC", says: "When the assessor left early; missing otherwise."},
			{name: "left_by", kind: text, says: "Who said that the assessor left: assessor, or floor."},
			{name: "withdrawn_at", kind: datetime, unit: "UTC",
				says: "When the assessor deleted their answers; missing otherwise."}},
		key: []string{"assessor"}}
	in := d.strata()
	if len(in) > 0 {
		stratum := stratumField
		stratum.required = false
		t.fields = append(t.fields, stratum)
	}
	number := map[panel.SittingID]int{}
	for _, x := range d.Sittings {
		number[x.ID] = x.Number
	}
	for _, a := range d.People {
		row := []any{a.Label(), number[a.SittingID], a.Language, a.Phone, a.JoinedAt, a.StartedAt, a.FinishedAt,
			a.LeftAt, leftBy(a), a.WithdrawnAt}
		if len(in) > 0 {
			row = append(row, in[a.Place])
		}
		if err := t.add(row...); err != nil {
			return t, err
		}
	}
	return t, nil
}

func leftBy(a panel.Assessor) string {
	switch {
	case a.LeftAt.IsZero():
		return ""
	case a.LeftSelf:
		return "assessor"
	}
	return "floor"
}

// turns has every turn of the plan: what it was, and what became of it.
func (d Data) turns() (table, error) {
	t := table{name: "turns", title: "Turns of the plan: what was given and answered at once",
		fields: []field{assessorField, turnField, sittingField,
			{name: "role", kind: text, required: true,
				says: "What it was for: rated, warm-up, reference, or expected where a name was read before tasting."},
			{name: "response", kind: text, required: true, says: "How it was answered, as study.json calls it."},
			readField,
			{name: "servings", kind: whole, unit: "servings", required: true,
				says: "How many servings were given at once; 0 where a name was read."},
			{name: "codes", kind: text, says: "Codes on its plates, in the order in which they stood."},
			{name: "at_pass_at", kind: datetime, unit: "UTC",
				says: "Since when its plates stood at the pass; missing when nobody noted it."},
			{name: "refused_at", kind: datetime, unit: "UTC",
				says: "When the guest did not want it; missing otherwise."},
			{name: "answered_at", kind: datetime, unit: "UTC",
				says: "When its answers reached the service; missing when there are none."}},
		key: []string{"assessor", "turn"}}
	answered := map[[2]int]time.Time{}
	for _, r := range d.Answers {
		at := [2]int{r.Place, r.Turn}
		if r.At.After(answered[at]) {
			answered[at] = r.At
		}
	}
	for _, x := range d.Turns {
		codes := make([]string, len(x.Servings))
		for i, v := range x.Servings {
			codes[i] = string(v.Code)
		}
		err := t.add(x.Place+1, x.Order+1, x.Sitting, x.Role.String(), string(x.Response), string(x.Name),
			len(x.Servings), strings.Join(codes, " "), x.PassedAt, x.RefusedAt, answered[[2]int{x.Place, x.Order + 1}])
		if err != nil {
			return t, err
		}
	}
	return t, nil
}
