package analysis

import (
	"strconv"

	"cloche/internal/design"
	"cloche/internal/study"
)

// KeyServing is one serving of the key: which sample an assessor gets at a
// position under a blinding code.
type KeyServing struct {
	Assessor string
	Position int
	Code     design.Code // "" when the serving carries none
	Sample   study.SampleID
}

// Key is the key of a serving plan. Given to [ReadCSV], a rating must name an
// assessor and a serving of the key.
type Key struct {
	assessors  map[string]bool
	byPosition map[place]KeyServing
	byCode     map[label][]KeyServing
	bySample   map[tasted][]KeyServing
}

type place struct {
	assessor string
	position int
}

type label struct {
	assessor string
	code     design.Code
}

type tasted struct {
	assessor string
	sample   study.SampleID
}

// NewKey makes a key of its servings.
func NewKey(servings []KeyServing) *Key {
	k := &Key{assessors: map[string]bool{}, byPosition: map[place]KeyServing{}, byCode: map[label][]KeyServing{},
		bySample: map[tasted][]KeyServing{}}
	for _, v := range servings {
		k.assessors[v.Assessor] = true
		k.byPosition[place{v.Assessor, v.Position}] = v
		what := tasted{v.Assessor, v.Sample}
		k.bySample[what] = append(k.bySample[what], v)
		if v.Code != "" {
			at := label{v.Assessor, v.Code}
			k.byCode[at] = append(k.byCode[at], v)
		}
	}
	return k
}

// KeyOf is the key of a plan: the rated servings, with the assessors labelled
// by their place in the plan from 1.
func KeyOf(plan *design.Plan) *Key {
	var servings []KeyServing
	for _, v := range plan.Servings {
		if v.Role != design.Rated {
			continue
		}
		servings = append(servings, KeyServing{
			Assessor: AssessorLabel(int(v.Assessor)), Position: int(v.Position),
			Code: v.Code, Sample: plan.Samples[v.Sample],
		})
	}
	return NewKey(servings)
}

// AssessorLabel is the label of the assessor at this place in the plan, from 0.
func AssessorLabel(place int) string { return strconv.Itoa(place + 1) }

// find returns the servings of the key that a rating can speak of: by position
// and code as far as the rating has them, else by sample.
func (k *Key) find(r Rating) []KeyServing {
	switch {
	case r.Position > 0:
		v, ok := k.byPosition[place{r.Assessor, r.Position}]
		if !ok || r.Code != "" && v.Code != r.Code {
			return nil
		}
		return []KeyServing{v}
	case r.Code != "":
		return k.byCode[label{r.Assessor, r.Code}]
	}
	return k.bySample[tasted{r.Assessor, r.Sample}]
}
