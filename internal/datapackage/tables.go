package datapackage

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"

	"cloche/internal/design"
	"cloche/internal/study"
)

// Fields that several tables have.
var (
	assessorField = field{name: "assessor", kind: whole,
		says: "Number of the assessor: the place in the serving plan, from 1. Names are not asked.", required: true}
	turnField = field{name: "turn", kind: whole, says: "Number of the turn of the assessor, from 1: what was " +
		"given and answered at once. Warm-ups, references and names that are read are turns too.", required: true}
	positionField = field{name: "position", kind: whole,
		says: "Position of the serving among those rated by the assessor, from 1; 0 for a warm-up, a reference, " +
			"and an answer about several servings at once.", required: true}
	codeField = field{name: "code", kind: text, says: "Three-digit blinding code on the plate.",
		pattern: "[1-9][0-9]{2}"}
	dishField = field{name: "dish", kind: text, says: "Id of the dish that was cooked.", required: true}
	nameField = field{name: "name", kind: text, says: "Id of the name under which it was served; missing when " +
		"it was served blind."}
	sampleField    = field{name: "sample", kind: text, says: "Id of the sample: a dish under a name.", required: true}
	attributeField = field{name: "attribute", kind: text,
		says: "Id of the attribute that was rated, choice where one serving of the turn was chosen, or said where " +
			"one of two things was said of the turn.", required: true}
	valueField = field{name: "value", kind: number, unit: "points of the attribute's scale",
		says: "The rating: a point of the line, or the rank of the label that was chosen, from 1. Of a choice: 1 for " +
			"the serving chosen, 0 for the others of its turn. Of what was said: 1 for the one that is known or the " +
			"same, 0 for another or different. Of a word: 1 where it was ticked, 0 where it was not.", required: true}
	sittingField = field{name: "sitting", kind: whole, says: "Number of the sitting, from 1.", required: true}
	stratumField = field{name: "stratum", kind: text,
		says: "Group of people to which the assessor belongs, within which samples were kept even: one level of " +
			"each stratum of the study.", required: true}
	byField = field{name: "entered_by", kind: text,
		says: "Who of the staff typed it for the assessor; missing when the assessor did."}
	brokenField = field{name: "blind_broken", kind: yesNo,
		says: "Whether the blind was broken for this serving, for safety; the log has the reason.", required: true}
	numberField = field{name: "number", kind: whole, says: "Number of the row, from 1.", required: true}
	ratedField  = field{name: "rated_at", kind: datetime, unit: "UTC", says: "When the answer reached the service.",
		required: true}
)

// tables are all tables but the codebook.
func (d Data) tables() ([]table, error) {
	makers := []func() (table, error){d.ratings, d.warmUps, d.expected, d.screening, d.guesses, d.assessors,
		d.turns, d.key,
		d.dealt, d.samples,
		d.attributes,
		d.labels, d.orders,
		d.comments, d.replaced, d.late, d.dropped, d.incidents, d.temperatures, d.flow, d.deviations, d.log}
	var all []table
	for _, make := range makers {
		t, err := make()
		if err != nil {
			return nil, err
		}
		if len(t.rows) > 0 || t.name == "ratings" {
			all = append(all, t)
		}
	}
	return all, nil
}

// ratings has those that are analysed, and the answers of other kinds. The first eight
// columns are those that “cloche analyse” reads.
func (d Data) ratings() (table, error) {
	dish, sample := dishField, sampleField
	dish.required, sample.required = false, false // an answer may be about several servings at once
	t := table{name: "ratings", title: "Ratings and other answers, one a row",
		fields: []field{assessorField, turnField, positionField, codeField, dish, nameField, attributeField, valueField,
			sample, ratedField, byField, brokenField},
		key:    []string{"assessor", "turn", "position", "attribute"},
		refers: []refer{{"sample", "samples", "sample"}, {"attribute", "attributes", "attribute"}}}
	varies := d.Study.Spec.ReferenceVaries()
	if varies {
		t.fields = append(t.fields, field{name: "reference", kind: text, required: true,
			says: "Id of the dish that was the known reference of the turn."})
	}
	early, arrived := d.Study.Spec.Plan.StopEarly || d.Study.Spec.Plan.Evidence != "", d.Arrivals()
	if early {
		t.fields = append(t.fields, field{name: "arrived", kind: whole, required: true,
			says: "As which answer of the study its turn reached the service, from 1."})
	}
	looks := len(d.Study.Spec.Plan.Looks) > 0
	if looks {
		t.fields = append(t.fields, field{name: "look", kind: whole, required: true,
			says: "Before which planned look the rating was in, from 1; the one at the end counts."})
	}
	in := d.strata()
	if len(in) > 0 {
		t.fields = append(t.fields, stratumField)
	}
	sittings := d.Study.Spec.Panel.Sittings > 1
	if sittings {
		t.fields = append(t.fields, sittingField)
	}
	for _, r := range d.Answers {
		if r.Role != design.Rated {
			continue // see warmUps and expected
		}
		x, err := d.sample(r.Sample)
		if err != nil {
			return t, err
		}
		row := []any{r.Place + 1, r.Turn, r.Position, string(r.Code), string(x.Dish), string(x.Name),
			string(r.Attribute),
			r.Value, string(r.Sample), r.At, r.EnteredBy, r.Revealed}
		if varies {
			reference, err := d.sample(r.Reference)
			if err != nil {
				return t, err
			}
			row = append(row, string(reference.Dish))
		}
		if early {
			row = append(row, arrived(r.Place, r.Turn))
		}
		if looks {
			row = append(row, d.LookOf(r.At))
		}
		if len(in) > 0 {
			row = append(row, in[r.Place])
		}
		if sittings {
			row = append(row, r.Sitting)
		}
		if err := t.add(row...); err != nil {
			return t, err
		}
	}
	return t, nil
}

// warmUps has the ratings of warm-ups and references, which are not analysed.
func (d Data) warmUps() (table, error) {
	t := table{name: "warm-ups", title: "Ratings of warm-ups and references, which are not analysed",
		fields: []field{
			numberField, assessorField, codeField, attributeField, valueField, sampleField, ratedField, byField,
			brokenField},
		key:    []string{"number"},
		refers: []refer{{"sample", "samples", "sample"}, {"attribute", "attributes", "attribute"}}}
	for _, r := range d.Answers {
		if r.Role != design.WarmUp && r.Role != design.Reference {
			continue
		}
		err := t.add(len(t.rows)+1, r.Place+1, string(r.Code), string(r.Attribute), r.Value, string(r.Sample), r.At,
			r.EnteredBy, r.Revealed)
		if err != nil {
			return t, err
		}
	}
	return t, nil
}

// expected has what assessors expected of names before any tasting. The first four
// columns are those that “cloche analyse --expected” reads.
func (d Data) expected() (table, error) {
	said := nameField
	said.says, said.required = "Id of the name that was read.", true
	value := valueField
	value.says = "What was expected: a point of the line, or the rank of the label that was chosen, from 1."
	attribute := attributeField
	attribute.says = "Id of the attribute that was asked for."
	t := table{name: "expected", title: "What assessors expected of names, said before any tasting",
		fields: []field{assessorField, said, attribute, value, ratedField, byField},
		key:    []string{"assessor", "name", "attribute"},
		refers: []refer{{"attribute", "attributes", "attribute"}}}
	for _, r := range d.Answers {
		if r.Role != design.Expected {
			continue
		}
		if err := t.add(r.Place+1, string(r.Name), string(r.Attribute), r.Value, r.At, r.EnteredBy); err != nil {
			return t, err
		}
	}
	return t, nil
}

// screening has what assessors answered before their first plate, as “cloche analyse
// --screening” reads it. The ratings of those who are left out stay in the ratings.
func (d Data) screening() (table, error) {
	t := table{name: "screening", title: "Answers to the screening questions, given before the first plate",
		fields: []field{assessorField,
			{name: "question", kind: text, says: "Id of the screening question; study.json has its words.",
				required: true},
			{name: "answer", kind: text, says: "yes or no.", required: true},
			{name: "left_out", kind: yesNo, says: "Whether this answer leaves the assessor's ratings out of the " +
				"findings, by the rule of the study.", required: true}},
		key: []string{"assessor", "question"}}
	for _, x := range d.Screened {
		i := slices.IndexFunc(d.Study.Spec.Panel.Screening, func(q study.Screen) bool { return q.ID == x.Question })
		out := i >= 0 && d.Study.Spec.Panel.Screening[i].LeavesOut == x.Answer
		assessor, err := strconv.Atoi(x.Assessor)
		if err != nil {
			return t, err
		}
		if err := t.add(assessor, x.Question, string(x.Answer), out); err != nil {
			return t, err
		}
	}
	return t, nil
}

// sample looks up a sample that was served; empty for "", where an answer is about
// several servings at once.
func (d Data) sample(id study.SampleID) (study.Sample, error) {
	if id == "" {
		return study.Sample{}, nil
	}
	x, ok := d.Study.Spec.Sample(id)
	if !ok {
		return x, fmt.Errorf("sample %q was served, and the study lacks it", id)
	}
	return x, nil
}

// key is code to sample, with the codes that stood on the plates.
func (d Data) key() (table, error) {
	t := table{name: "key", title: "Key: which sample each serving was",
		fields: []field{assessorField, positionField, codeField, dishField, nameField, sampleField,
			sittingField,
			turnField,
			{name: "serving", kind: whole, says: "Number of the serving within its turn, from 1, in the order in " +
				"which they stood and were tasted.", required: true},
			{name: "role", kind: text, says: "What it was for: rated, warm-up or reference.", required: true},
			{name: "served_at", kind: datetime, unit: "UTC",
				says: "When floor noted that it was set down; missing when nobody noted it."},
			{name: "refused_at", kind: datetime, unit: "UTC",
				says: "When floor noted that the guest did not want what the turn served."},
			{name: "blind_broken_at", kind: datetime, unit: "UTC",
				says: "When the blind was broken for it, for safety; the log has the reason."}},
		key:    []string{"assessor", "turn", "serving"},
		refers: []refer{{"sample", "samples", "sample"}}}
	for _, turn := range d.Turns {
		for _, v := range turn.Servings {
			if v.Sample == "" {
				continue // nobody arrived to whom it would have been dealt
			}
			x, err := d.sample(v.Sample)
			if err != nil {
				return t, err
			}
			err = t.add(turn.Place+1, v.Position, string(v.Code), string(x.Dish), string(x.Name), string(v.Sample),
				turn.Sitting, turn.Order+1, v.Order+1,
				v.Role.String(), v.ServedAt, turn.RefusedAt, v.RevealedAt)
			if err != nil {
				return t, err
			}
		}
	}
	return t, nil
}

func (d Data) samples() (table, error) {
	t := table{name: "samples", title: "Samples: a dish under a name",
		fields: []field{sampleField, dishField, nameField,
			{name: "dish_title", kind: text, says: "The dish as the kitchen calls it.", required: true},
			{name: "name_text", kind: text, says: "The name exactly as assessors read it, in the study's first " +
				"language; missing when it was served blind."}},
		key: []string{"sample"}}
	for _, x := range d.Study.Spec.Samples {
		dish, _ := d.Study.Spec.Dish(x.Dish)
		if err := t.add(string(x.ID), string(x.Dish), string(x.Name), dish.Title,
			d.Study.Spec.NameText(x.ID)); err != nil {
			return t, err
		}
	}
	return t, nil
}

func (d Data) attributes() (table, error) {
	t := table{name: "attributes", title: "Attributes and their scales",
		fields: []field{attributeField,
			{name: "ask", kind: text, says: "The question as assessors read it.", required: true},
			{name: "scale", kind: text, says: "Kind of scale: line (any point between two words), categories " +
				"(labelled, equal steps are not assumed), about-right (labelled from too little to too much, the " +
				"middle label about right: count the answers, a mean of them means nothing), hedonic-9 (nine labels " +
				"from dislike extremely, 1, to " +
				"like extremely, 9), ticked (of one word of a list, 1 where it was ticked, 0 where it was not)."},
			{name: "lowest", kind: number, unit: "points", says: "Lowest value of the scale."},
			{name: "highest", kind: number, unit: "points", says: "Highest value of the scale."},
			{name: "low_word", kind: text, says: "Word at the low end of a line."},
			{name: "high_word", kind: text, says: "Word at the high end of a line."}},
		key: []string{"attribute"}}
	if id := d.Study.Spec.Question.Response().Answer(); id != "" {
		var lowest, highest any
		if answered := d.Study.Spec.Question.Response(); answered == study.RankAll {
			lowest, highest = 1, d.Study.Spec.TurnServings()
		}
		return t, t.add(string(id), d.Study.Spec.TurnAsk(), nil, lowest, highest, nil, nil)
	}
	for _, a := range d.Study.Spec.Answered() {
		err := t.add(string(a.ID), a.Ask, string(a.Scale.Kind), a.Scale.Min(), a.Scale.Max(), a.Scale.Low, a.Scale.High)
		if err != nil {
			return t, err
		}
	}
	return t, nil
}

func (d Data) labels() (table, error) {
	t := table{name: "labels", title: "Labels of the values of scales that have labels",
		fields: []field{attributeField,
			{name: "value", kind: whole, unit: "points of the attribute's scale", says: "Value in the ratings.",
				required: true},
			{name: "label", kind: text, says: "The label as assessors read it.", required: true}},
		key:    []string{"attribute", "value"},
		refers: []refer{{"attribute", "attributes", "attribute"}}}
	for _, a := range d.Study.Spec.Attributes {
		if a.Scale.Kind == study.Line || a.Scale.Kind == study.WordList || a.Scale.Kind == "" {
			continue
		}
		for i, label := range a.Scale.Labels {
			if err := t.add(string(a.ID), i+1, label); err != nil {
				return t, err
			}
		}
	}
	return t, nil
}

func (d Data) log() (table, error) {
	t := table{name: "log", title: "Log of the study: who did what, and when",
		fields: []field{
			{name: "number", kind: whole, says: "Number of the entry, in the order in which they were written, from 1.",
				required: true},
			{name: "at", kind: datetime, unit: "UTC", says: "When it happened.", required: true},
			{name: "who", kind: text, says: "Role, and the number of the assessor where there is one.", required: true},
			{name: "what", kind: text, says: "What was done, in a stable short word.", required: true},
			{name: "detail", kind: text, says: "More about it."}},
		key: []string{"number"}}
	for i, e := range d.Events {
		if err := t.add(i+1, e.At, e.Who, e.What, e.Detail); err != nil {
			return t, err
		}
	}
	return t, nil
}

// codebookOf describes the fields of all tables, and its own.
func codebookOf(tables []table) table {
	t := table{name: "codebook", title: "Codebook: every field of every table",
		fields: []field{
			{name: "file", kind: text, says: "File of the table.", required: true},
			{name: "field", kind: text, says: "Name of the column.", required: true},
			{name: "type", kind: text, says: "Type of the values: string, integer, number, boolean (true, false) " +
				"or datetime (ISO 8601, UTC).", required: true},
			{name: "label", kind: text, says: "What the values are, in a few words.", required: true},
			{name: "unit", kind: text, says: "Unit of the values; missing when they have none."},
			{name: "lowest", kind: text, says: "Lowest value in the table, of numbers and times."},
			{name: "highest", kind: text, says: "Highest value in the table, of numbers and times."},
			{name: "levels", kind: text, says: "The values in the table, of texts with few of them, parted by “ | ”."},
			{name: "missing", kind: whole, unit: "rows", says: "In how many rows the value is missing: an empty cell.",
				required: true},
			{name: "required", kind: yesNo, says: "Whether a value is never missing. A missing value is an empty cell.",
				required: true},
			{name: "description", kind: text, says: "What the values say.", required: true}},
		key: []string{"file", "field"}}
	var rows [][]string
	for _, of := range tables {
		rows = append(rows, of.described()...)
	}
	t.rows = append(rows, t.described()...)
	for range t.fields { // its own rows speak of themselves: until they say what is so
		own := t.described()
		if reflect.DeepEqual(own, t.rows[len(rows):]) {
			break
		}
		t.rows = append(slices.Clone(rows), own...)
	}
	return t
}

// described are the rows of the codebook on a table.
func (t *table) described() (rows [][]string) {
	for i, f := range t.fields {
		lowest, highest, levels, missing := t.values(i)
		rows = append(rows, []string{t.name + ".csv", f.name, f.kind, guard(labelOf(f.says)), f.unit,
			guard(lowest), guard(highest), guard(levels), strconv.Itoa(missing), fmt.Sprint(f.required),
			guard(f.says)})
	}
	return rows
}
