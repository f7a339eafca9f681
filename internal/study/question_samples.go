package study

// Rating asks how dishes or recipes differ.
const Rating Question = "samples"

var rating = QuestionKind{
	ID:       Rating,
	Title:    "Different dishes or recipes",
	Asks:     "How do the samples differ?",
	ChooseIf: "Choose it when you want to know by how much two recipes or more differ, and in what.",
	Example:  "Is a celeriac custard with less salt still salty enough?",
	Response: Rate, Servings: 1, Counts: collectsRatings,
	Attributes: SomeRated, Designs: allDesigns, Sides: anySides, PlanKeys: ratingPlan,
	fits: func(r *reader, s *Study) {
		dishes := map[DishID]bool{}
		for _, x := range s.Samples {
			dishes[x.Dish] = true
		}
		if len(dishes) < 2 {
			r.reject("samples", Say("the question compares dishes, and all samples are the same one"),
				Say("write samples of two dishes at least, or question: names"))
		}
	},
}
