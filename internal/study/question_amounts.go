package study

import "fmt"

// HowMuch asks how a rating goes with the amount of something in one dish.
const HowMuch Question = "amounts"

var howMuch = QuestionKind{
	ID:    HowMuch,
	Title: "How much of something?",
	Asks:  "How much more do assessors taste for each bit more of it?",
	ChooseIf: "Choose it when you can cook the same dish with four to six amounts of one thing, and want to know how " +
		"much is right, or how much a change does.",
	Example:  "How much salt does the custard take, and how much saltier does a gram more make it?",
	Response: Rate, Servings: 1, Counts: collectsRatings, Amounts: true,
	Attributes: SomeRated, Designs: []Design{All, Some}, Sides: []Sides{TwoSided},
	PlanKeys: []string{"attribute", "smallest effect", "adjust", "wanted rating"},
	fits:     amountsPlanFits,
}

// amountsPlanFits holds the numbers of the analysis plan against the scale that they are of.
func amountsPlanFits(r *reader, s *Study) {
	for i, a := range s.Attributes {
		if path := fmt.Sprintf("attributes[%d].scale", i); !a.Scale.Averages() && r.sound(path) {
			r.reject(path, Say("a study of amounts draws a line through ratings, and answers of %s have no mean", a.ID),
				Say("write a line, or ask it in a samples study"))
		}
	}
	a, ok := s.Attribute(s.Plan.Attribute)
	if !ok || a.Scale.Kind == "" || !r.scaleSound(s, a.ID) {
		return
	}
	low, high := a.Scale.Min(), a.Scale.Max()
	if v := s.Plan.WantedRating; v != nil && (*v < low || *v > high) && r.sound("analysis.wanted rating") {
		r.reject("analysis.wanted rating",
			Say("no rating of %s can be %s: its scale runs from %s to %s", a.ID, shortest(*v), shortest(low),
				shortest(high)),
			Say("write a number from %s to %s", shortest(low), shortest(high)))
	}
	series, _ := s.Series()
	steps := s.Amount(series[len(series)-1].ID) - s.Amount(series[0].ID)
	if e := s.Plan.SmallestEffect; e*steps > high-low && r.sound("analysis.smallest effect", "dishes", "samples") {
		r.reject("analysis.smallest effect",
			Say("%s points for each unit are more than the scale of %s holds: it is %s points long, "+
				"and the amounts are %s apart", shortest(e), a.ID, shortest(high-low), shortest(steps)),
			Say("write a number above 0 and at most %s", shortest((high-low)/steps)))
	}
}
