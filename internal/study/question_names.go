package study

// Naming asks what the name of a dish does to how it is rated.
const Naming Question = "names"

var naming = QuestionKind{
	ID:       Naming,
	Title:    "The same food under different names",
	Asks:     "Does the name change how it tastes?",
	ChooseIf: "Choose it when one dish can stand on the menu under two names or more.",
	Example:  "Does its name change how salty a celeriac custard tastes?",
	Response: Rate, Servings: 1, Counts: collectsRatings,
	Attributes: SomeRated, NamesMatter: true, Designs: allDesigns, Sides: anySides, PlanKeys: ratingPlan,
	fits: func(r *reader, s *Study) {
		names := map[NameID]bool{}
		for _, x := range s.Samples {
			names[x.Name] = true
		}
		if len(names) < 2 {
			r.reject("samples", Say("the question is what a name does, and all samples have the same"),
				Say("write samples under two names at least (a blind one counts), or question: samples"))
		}
	},
}

// What questions that collect ratings have in common.
const collectsRatings = "collects ratings"

var (
	allDesigns = []Design{All, Some, One}
	anySides   = []Sides{TwoSided, Greater, Less}
	ratingPlan = []string{"compare", "effect of", "attribute", "liking", "test", "smallest effect", "adjust", "looks",
		"spending", "evidence", "evidence at"}
)
