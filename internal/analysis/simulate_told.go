package analysis

import (
	"math/rand/v2"

	"cloche/internal/design"
	"cloche/internal/study"
)

// SimulateTold invents the answers of a whole plan of a question that has right answers:
// in each turn the given share of the people truly tell the samples apart and answer right,
// the others guess. The answers come turn by turn in the order of the plan. The same study,
// plan, share and seed give the same answers.
func SimulateTold(s *study.Study, plan *design.Plan, share float64, seed uint64) []Rating {
	random := newStream(seed, "right answers")
	var all []Rating
	for i, turn := range turnsTold(s, plan) {
		tells := random.Float64() < share
		order := random.Perm(len(turn))
		if tells {
			order = rightOrder(s, turn, random)
		}
		for j, r := range turn {
			r.Arrived, r.Attribute = i+1, s.Question.Response().Answer()
			switch s.Question.Response() {
			case study.SortIntoPairs:
				r.Value = float64(order[j]%2 + 1)
			case study.ChooseOne:
				if order[j] == 0 {
					r.Value = 1
				}
			}
			all = append(all, r)
		}
	}
	return all
}

// turnsTold are the servings that each assessor answers at once, without the known
// reference, which each of them names.
func turnsTold(s *study.Study, plan *design.Plan) (turns [][]Rating) {
	var reference study.SampleID
	assessor, number := int32(-1), int32(-1)
	for _, v := range plan.Servings {
		sample := plan.Samples[max(0, v.Sample)]
		switch v.Role {
		case design.Reference:
			reference = sample
			continue
		case design.Rated:
		default:
			continue
		}
		if v.Assessor != assessor || v.Turn != number {
			assessor, number = v.Assessor, v.Turn
			turns = append(turns, nil)
		}
		last := len(turns) - 1
		r := Rating{Assessor: AssessorLabel(int(v.Assessor)), Turn: int(v.Turn), Position: int(v.Position),
			Code: v.Code, Sample: sample}
		if s.Question.Kind().Reference {
			r.Reference = reference
		}
		turns[last] = append(turns[last], r)
	}
	return turns
}

// rightOrder is a right answer to a turn, as [SimulateTold] reads one: 0 for the serving
// that is chosen, or even and odd numbers for the two pairs.
func rightOrder(s *study.Study, turn []Rating, random *rand.Rand) []int {
	order, first := make([]int, len(turn)), random.IntN(2)
	a, _ := answeringOf(s.Question)
	for i := range turn {
		if s.Question.Response() == study.SortIntoPairs {
			order[i] = first
			if turn[i].Sample != turn[0].Sample {
				order[i] = 1 - first
			}
			continue
		}
		t := choiceTurn{servings: make([]Rating, len(turn))}
		copy(t.servings, turn)
		t.servings[i].Value = 1
		if order[i] = 1; a.right(s, t) {
			order[i] = 0
		}
	}
	return order
}
