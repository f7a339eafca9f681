package calibrate

import (
	"math/rand/v2"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// Answers are the answers of a whole panel that tastes no difference.
func Answers(s *study.Study, plan *design.Plan, seed uint64, random *rand.Rand) []analysis.Rating {
	if s.Question.OneByOne() {
		what, _ := truth(s)
		ratings := analysis.Simulate(s, onEvenings(s, plan), what, seed)
		withStrata(s, plan, ratings)
		return ratings
	}
	if s.Question.Kind().Tells {
		return analysis.SimulateTold(s, plan, tells(s), seed)
	}
	var all []analysis.Rating
	for _, turn := range turnsOf(plan) {
		all = append(all, answer(s, plan, turn, random)...)
	}
	return all
}

// turnsOf are the servings that each assessor answers at once, with the reference of the
// turn in front where it has one.
func turnsOf(plan *design.Plan) [][]design.Serving {
	var turns [][]design.Serving
	for _, v := range plan.Servings {
		if v.Role != design.Rated && v.Role != design.Reference {
			continue
		}
		last := len(turns) - 1
		if last < 0 || turns[last][0].Assessor != v.Assessor || turns[last][0].Turn != v.Turn {
			turns = append(turns, nil)
			last++
		}
		turns[last] = append(turns[last], v)
	}
	return turns
}

// answer is one turn answered at random.
func answer(s *study.Study, plan *design.Plan, turn []design.Serving, random *rand.Rand) []analysis.Rating {
	var reference study.SampleID
	var rows []analysis.Rating
	for _, v := range turn {
		sample := plan.Samples[v.Sample]
		if v.Role == design.Reference {
			reference = sample
			continue
		}
		rows = append(rows, analysis.Rating{Assessor: analysis.AssessorLabel(int(v.Assessor)), Turn: int(v.Turn),
			Position: int(v.Position), Code: v.Code, Sample: sample,
			Attribute: s.Question.Response().Answer()})
	}
	order := random.Perm(len(rows))
	said := float64(random.IntN(2))
	for i := range rows {
		rows[i].Reference = reference
		switch s.Question.Response() {
		case study.RankAll:
			rows[i].Value = float64(order[i] + 1)
		case study.SortIntoPairs:
			rows[i].Value = float64(order[i]%2 + 1)
		case study.SayOneOfTwo:
			rows[i].Value = said
		default:
			if order[i] == 0 {
				rows[i].Value = 1
			}
		}
	}
	return rows
}
