package datapackage

import (
	"fmt"
	"strconv"
	"strings"
)

// dealt has what was dealt on arrival, as “cloche plan --arrivals” reads it.
func (d Data) dealt() (table, error) {
	t := table{name: "dealt", title: "What was dealt to assessors when they arrived",
		fields: []field{
			{name: "arrival", kind: whole, says: "Number of the arrival, from 1.", required: true},
			assessorField,
			{name: "combination", kind: whole,
				says: "Number of the stratum: of the combination of levels, from 1, the last stratum of the study " +
					"running fastest.",
				required: true},
			stratumField, sampleField,
			{name: "dealt_at", kind: datetime, unit: "UTC", says: "When it was dealt.", required: true}},
		key:    []string{"arrival"},
		refers: []refer{{"sample", "samples", "sample"}}}
	for _, x := range d.Dealt {
		err := t.add(x.Arrival, x.Place+1, int(x.Stratum)+1, x.In(d.Study.Spec), string(x.Sample), x.At)
		if err != nil {
			return t, err
		}
	}
	return t, nil
}

// strata are the strata of assessors by their places, in words.
func (d Data) strata() map[int]string {
	in := map[int]string{}
	for _, x := range d.Dealt {
		in[x.Place] = x.In(d.Study.Spec)
	}
	return in
}

// dealtNote says how to check what was dealt; "" where nothing was.
func (d Data) dealtNote() string {
	if len(d.Dealt) == 0 {
		return ""
	}
	seed := strconv.FormatUint(d.Study.Lock.Seed, 10)
	return fmt.Sprintf(strings.TrimLeft(`
The plan leaves open which sample each assessor gets: that was dealt when they arrived, by
the seed, their stratum and the order of arrival (dealt.csv). This deals it again, says so
when it finds something else, and writes the key:

    cloche plan study.yaml --seed %s --arrivals dealt.csv

`, "\n"), seed)
}
