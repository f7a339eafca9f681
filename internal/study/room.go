package study

import (
	"fmt"
)

// servingFits checks that each choice of the section serving belongs to the
// design and the question.
func (r *reader) servingFits(s *Study) {
	if !r.sound("question", "serving.design", "samples") {
		return
	}
	v, t := s.Serving, len(s.Samples)
	refuse := func(name, what, instead string) {
		if r.written("serving."+name) && r.sound("serving."+name) {
			r.reject("serving."+name, what, instead)
		}
	}
	if s.Question.IsDifferenceTest() && v.Design != All {
		refuse("design", fmt.Sprintf("a %s test gives both samples to each assessor", s.Question), "write design: all")
		return
	}
	switch {
	case v.Design != Some && v.PerAssessor > 0:
		refuse("per assessor", fmt.Sprintf("\"per assessor\" is for design: some; this one is %s", v.Design), "write design: some, or leave the line out")
	case v.Design == Some && t < 3:
		refuse("design", fmt.Sprintf("some of %s would be one each", count(t, "sample")), "write design: all or design: one")
	case v.Design == Some && !r.written("serving.per assessor"):
		r.reject("serving.per assessor", "design: some has no \"per assessor\"", "write per assessor: "+between(2, t-1))
	case v.Design == Some && v.PerAssessor >= t:
		refuse("per assessor", fmt.Sprintf("%d of %s to each assessor are not some of them", v.PerAssessor, count(t, "sample")), fmt.Sprintf("write %s, or design: all", between(2, t-1)))
	}
	if v.Design != One {
		refuse("strata", "strata balance a design that gives one sample to each assessor", "write design: one, or leave the strata out")
		if v.Minimise {
			refuse("minimise", "minimisation is for a design that gives one sample to each assessor", "write design: one, or leave the line out")
		}
	} else if v.Minimise && len(v.Strata) == 0 && r.sound("serving.strata") {
		refuse("minimise", "minimisation without strata has nothing to balance", "write the strata, or leave the line out")
	}
	if s.Question != DuoTrio {
		refuse("reference", "\"reference\" is for a duo-trio test", "write \"fixed reference\" for a known sample served first, or leave the line out")
	}
	if s.Question.IsDifferenceTest() {
		refuse("fixed reference", fmt.Sprintf("a %s test has no fixed reference", s.Question), "leave the line out")
	}
}

// orderFits checks the choices that speak of names.
func (r *reader) orderFits(s *Study) {
	if !r.sound("samples", "serving.design") || r.anyBad("samples", "name") || r.anyBad("samples", "dish") || r.anyBad("samples", "blind") {
		return
	}
	var blind, named int
	underNames := map[DishID]int{}
	most := 0
	for _, x := range s.Samples {
		underNames[x.Dish]++
		most = max(most, underNames[x.Dish])
		if x.Name == "" {
			blind++
		} else {
			named++
		}
	}
	v := s.Serving
	refuse := func(holds bool, name, what string) {
		if holds && r.sound("serving."+name) {
			r.reject("serving."+name, what, "leave the line out")
		}
	}
	refuse(v.BlindFirst && (blind == 0 || named == 0), "blind first", "\"blind first\" needs blind and named samples")
	refuse(v.BlindFirst && v.Design == One, "blind first", "\"blind first\" needs more than one sample to each assessor")
	refuse(v.Expectation && named == 0, "expectation", "\"expectation\" needs named samples")
	refuse(v.KeepDishesApart && v.Design == One, "keep dishes apart", "an assessor with one sample meets no dish twice")
	refuse(v.KeepDishesApart && most < 2, "keep dishes apart", "no dish is served under two names")
	if v.KeepDishesApart && v.Design == All && most > max(1, s.Panel.Sittings) && r.sound("panel.sittings", "serving.keep dishes apart") {
		r.reject("panel.sittings", fmt.Sprintf("a dish under %d names, kept apart, needs at least %d sittings; panel.sittings is %d", most, most, s.Panel.Sittings),
			fmt.Sprintf("write sittings: %d", most))
	}
}

// perTrial is how many servings one trial of a difference test takes.
var perTrial = map[Question]int{Triangle: 3, DuoTrio: 3, TwoAFC: 2, ThreeAFC: 3, Tetrad: 4, ANotA: 1, SameDifferent: 2}

// servingsEach is how many rated servings an assessor gets, and how many of
// them must be at one sitting.
func servingsEach(s *Study) (servings, together int) {
	v := s.Serving
	if n, ok := perTrial[s.Question]; ok {
		return n * v.Replicates, n
	}
	switch v.Design {
	case Some:
		return v.PerAssessor * v.Replicates, 1
	case One:
		return v.Replicates, 1
	}
	return len(s.Samples) * v.Replicates, 1
}

// roomForAll checks that sittings and seats hold all servings. These are bounds
// that hold for any plan; package design reports what a plan needs beyond them.
func (r *reader) roomForAll(s *Study) {
	if !r.sound("question", "samples", "panel", "panel.assessors", "panel.sittings", "panel.seats",
		"serving", "serving.design", "serving.per assessor", "serving.replicates", "serving.most per sitting") {
		return
	}
	each, together := servingsEach(s)
	if total := each * s.Panel.Assessors; total > maxServings {
		r.reject("panel.assessors", fmt.Sprintf("%d assessors with %d servings each make %d servings", s.Panel.Assessors, each, total), fmt.Sprintf("write at most %d", maxServings/each))
		return
	}
	visits := 1
	if m := s.Serving.MaxPerSitting; m > 0 {
		if m < together {
			r.reject("serving.most per sitting", fmt.Sprintf("one trial of a %s test takes %d servings", s.Question, together), fmt.Sprintf("write %d or more", together))
			return
		}
		visits = over(each/together, m/together)
		if visits > s.Panel.Sittings {
			r.reject("panel.sittings", fmt.Sprintf("%d servings with %d per sitting need at least %d sittings; panel.sittings is %d", each, m, visits, s.Panel.Sittings),
				fmt.Sprintf("write sittings: %d, or a larger \"most per sitting\"", visits))
			return
		}
	}
	if seats := s.Panel.Seats; seats > 0 {
		if need := over(s.Panel.Assessors*visits, seats); need > s.Panel.Sittings {
			r.reject("panel.sittings", fmt.Sprintf("%d assessors on %d seats, %s each, need at least %d sittings; panel.sittings is %d", s.Panel.Assessors, seats, count(visits, "sitting"), need, s.Panel.Sittings),
				fmt.Sprintf("write sittings: %d, or more seats", need))
		}
	}
}

// over is a/b, rounded up.
func over(a, b int) int { return (a + b - 1) / b }
