package study

import (
	"slices"
)

// refuse rejects a choice of the section serving that stands in the file.
func (r *reader) refuse(name string, what, instead Said) {
	if path := "serving." + name; r.written(path) && r.sound(path) {
		r.reject(path, what, instead)
	}
}

// servingFits checks that each choice of the section serving belongs to the
// design and the question.
func (r *reader) servingFits(s *Study) {
	if !r.sound("question", "serving.design", "samples") {
		return
	}
	k := s.Question.Kind()
	if !k.Reference {
		r.refuse("reference", Say("\"reference\" is for a duo-trio test"),
			Say("write \"fixed reference\" for a known sample served first, or leave the line out"))
	}
	if !s.Question.CollectsRatings() {
		if s.Serving.Attributes == RotatedOrder {
			r.refuse("attributes", Say("a %s test rates no attributes to rotate", s.Question),
				Say("leave the line out"))
		}
		r.refuse("fixed reference", Say("a %s test has no fixed reference", s.Question), Say("leave the line out"))
	}
	r.trayFits(s)
	if !slices.Contains(k.Designs, s.Serving.Design) {
		r.refuse("design", Say("a %s test gives every sample to each assessor", s.Question),
			Say("write design: %s", string(k.Designs[0])))
		return
	}
	if s.Serving.Attributes == RotatedOrder && len(s.Attributes) < 2 && r.sound("attributes") {
		r.refuse("attributes", Say("\"attributes: rotated\" needs two attributes or more"), Say("leave the line out"))
	}
	r.someFits(s)
	r.oneFits(s)
}

// trayFits checks what belongs only to trays of several servings.
func (r *reader) trayFits(s *Study) {
	v := s.Serving
	switch {
	case s.TurnServings() < 2:
		one := Say("is for trays of several servings; a turn of %s has one", s.Question)
		if v.TasteOnce {
			r.refuse("taste once", Say("\"taste once\" %s", one), Say("leave the line out"))
		}
		r.refuse("tray opens", Say("\"tray opens\" %s", one), Say("leave the line out"))
	case v.TrayOpens == ByFirstCode && v.Codes == CodePerSample:
		r.refuse("tray opens", Say("with codes: sample many trays begin with the same code"),
			Say("write tray opens: all codes, or codes: serving"))
	}
}

// someFits checks how many samples an assessor of an incomplete design gets.
func (r *reader) someFits(s *Study) {
	k, t := s.Serving.PerAssessor, len(s.Samples)
	switch {
	case s.Serving.Design != Some:
		r.refuse("per assessor", Say("\"per assessor\" is for design: some; this one is %s", s.Serving.Design),
			Say("write design: some, or leave the line out"))
	case t < 3:
		r.refuse("design", Say("some of %s would be one each", count(t, "sample")), Say("write design: all"))
	case !r.written("serving.per assessor"):
		r.reject("serving.per assessor", Say("design: some has no \"per assessor\""),
			Say("write per assessor: %s", between(2, t-1)))
	case k >= t:
		r.refuse("per assessor", Say("%d of %s to each assessor are not some of them", k, count(t, "sample")),
			Say("write %s, or design: all", between(2, t-1)))
	}
}

// oneFits checks what belongs only to a design of one sample to each assessor.
func (r *reader) oneFits(s *Study) {
	switch {
	case s.Serving.Design != One:
		r.refuse("strata", Say("strata balance a design that gives one sample to each assessor"),
			Say("write design: one, or leave the strata out"))
		if s.Serving.Minimise {
			r.refuse("minimise", Say("minimisation is for a design that gives one sample to each assessor"),
				Say("write design: one, or leave the line out"))
		}
	case s.Serving.DealtOnArrival() && s.Serving.AtOneTable == SameOrder:
		r.refuse("at one table", Say("what is dealt on arrival follows the strata, not the table"),
			Say("leave the line out, or leave the strata out"))
	case !s.Serving.Minimise && s.Serving.Combinations() > s.Panel.Assessors && r.sound("panel", "panel.assessors"):
		r.refuse("strata",
			Say("the levels of the strata have %d combinations, more than there are assessors",
				s.Serving.Combinations()),
			Say("write fewer strata or levels, or minimise: true"))
	case s.Serving.Minimise && r.written("serving.blocks"):
		r.refuse("blocks", Say("minimisation draws no blocks"), Say("leave the line out, or write minimise: false"))
	case s.Serving.Minimise && !r.written("serving.strata"):
		r.refuse("minimise", Say("minimisation without strata has nothing to balance"),
			Say("write the strata, or leave the line out"))
	}
}

// orderFits checks the choices that speak of names.
func (r *reader) orderFits(s *Study) {
	if !r.sound("samples", "serving.design") || r.anyBad("samples", "name") || r.anyBad("samples", "dish") ||
		r.anyBad("samples", "blind") {
		return
	}
	blind, most := 0, 0
	underNames := map[DishID]int{}
	for _, x := range s.Samples {
		underNames[x.Dish]++
		most = max(most, underNames[x.Dish])
		if x.Name == "" {
			blind++
		}
	}
	v, leave := s.Serving, Say("leave the line out")
	switch {
	case !v.BlindFirst:
	case blind == 0 || blind == len(s.Samples):
		r.refuse("blind first", Say("\"blind first\" needs blind and named samples"), leave)
	case v.Design == One:
		r.refuse("blind first", Say("\"blind first\" needs more than one sample to each assessor"), leave)
	}
	if v.Expectation && blind == len(s.Samples) {
		r.refuse("expectation", Say("\"expectation\" needs named samples"), leave)
	}
	switch {
	case !v.AskHalf:
	case !v.Expectation && r.sound("serving.expectation"):
		r.refuse("expectation of half", Say("half of the panel cannot be asked what nobody is asked"),
			Say("write expectation: true, or leave the line out"))
	case s.Panel.Assessors < 4 && r.sound("panel", "panel.assessors"):
		r.refuse("expectation of half", Say("two halves of a panel need four assessors or more"), leave)
	}
	switch {
	case !v.KeepDishesApart:
	case v.Design == One:
		r.refuse("keep dishes apart", Say("an assessor with one sample meets no dish twice"), leave)
	case most < 2:
		r.refuse("keep dishes apart", Say("no dish is served under two names"), leave)
	case v.Design == All && most > s.Panel.Sittings && r.sound("panel", "panel.sittings"):
		r.reject("panel.sittings",
			Say("a dish under %d names, kept apart, needs at least %d sittings; planned: %d", most, most,
				s.Panel.Sittings),
			Say("write sittings: %d", most))
	}
}

// servingsEach is how many rated servings an assessor gets, and how many of
// them must be at one sitting.
func servingsEach(s *Study) (servings, together int) {
	v := s.Serving
	if n := s.TurnServings(); !s.Question.OneByOne() {
		return n * s.Trays(), n
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
		r.reject("panel.assessors",
			Say("%d assessors with %d servings each make %d servings", s.Panel.Assessors, each, total),
			Say("write at most %d", maxServings/each))
		return
	}
	visits := 1
	if m := s.Serving.MaxPerSitting; m > 0 {
		if m < together {
			r.reject("serving.most per sitting",
				Say("one trial of a %s test takes %d servings", s.Question, together),
				Say("write %d or more", together))
			return
		}
		visits = over(each/together, m/together)
		if visits > s.Panel.Sittings {
			what := Say("samples")
			if each != len(s.Samples) && each != s.Serving.PerAssessor {
				what = Say("servings") // replicates, or trials of a difference test
			}
			r.reject("panel.sittings",
				Say("%d %s with %d per sitting need at least %d sittings; planned: %d", each, what, m, visits,
					s.Panel.Sittings),
				Say("write sittings: %d, or more servings to one person at one sitting (most per sitting)", visits))
			return
		}
	}
	if seats := s.Panel.Seats; seats > 0 {
		if need := over(s.Panel.Assessors*visits, seats); need > s.Panel.Sittings {
			r.reject("panel.sittings",
				Say("%d assessors on %d seats, %s each, need at least %d sittings; planned: %d",
					s.Panel.Assessors, seats,
					count(visits, "sitting"), need, s.Panel.Sittings),
				Say("write sittings: %d, or more seats", need))
		}
	}
}

// over is a/b, rounded up.
func over(a, b int) int { return (a + b - 1) / b }
