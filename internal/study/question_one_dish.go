package study

// RightAlone asks of one dish alone whether it has too little or too much of something.
const RightAlone Question = "one-dish"

var rightAlone = QuestionKind{
	ID:    RightAlone,
	Title: "Is one dish about right?",
	Asks:  "Does the dish have too little of something, or too much, and does it matter?",
	ChooseIf: "Choose it when there is one dish and nothing to hold it against: how many find it about right, and " +
		"whether the others like it less.",
	Example:  "Is the celeriac custard on our menu too sweet?",
	Response: Rate, Servings: 1, Counts: collectsRatings, OneDish: true,
	Samples: 1, WhyBlind: foodAlone,
	Attributes: SomeRated, Designs: onlyAll, Sides: []Sides{TwoSided},
	PlanKeys: []string{"attribute", "liking", "smallest effect", "adjust"}, fits: rightAloneFits,
}

// rightAloneFits refuses a study that does not ask whether the dish is about right, and a plan
// in which something else decides.
func rightAloneFits(r *reader, s *Study) {
	if !r.sound("attributes") || r.anyBad("attributes", "scale") {
		return
	}
	rights := attributeIDs(s.AboutRights())
	if len(rights) == 0 {
		r.reject("attributes", Say("nothing asks whether the dish is about right"),
			Say("write an attribute with scale: {about right: [not sweet enough, about right, too "+
				"sweet]}"))
		r.bad["attributes"] = true
		return
	}
	if on, ok := s.Attribute(s.Plan.Liking); ok && r.sound("analysis.smallest effect", "analysis.liking") &&
		on.Scale.Averages() && s.Plan.SmallestEffect > on.Scale.Max()-on.Scale.Min() {
		r.reject("analysis.smallest effect",
			Say("no two ratings of %s differ by %s: its scale is %s points long", on.ID,
				shortest(s.Plan.SmallestEffect),
				shortest(on.Scale.Max()-on.Scale.Min())),
			Say("write a drop in liking that the scale holds, as in 1"))
	}
	if a, ok := s.Attribute(s.Plan.Attribute); ok && a.Scale.Averages() && r.sound("analysis.attribute") {
		r.reject("analysis.attribute", Say("there is nothing to hold the mean of %s against", a.ID),
			write(string(a.ID), rights))
	}
}
