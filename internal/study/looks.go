package study

import (
	"fmt"
	"strconv"

	"github.com/goccy/go-yaml/ast"

	"cloche/internal/method"
)

const (
	// fewestAtLook is how many people a look takes at the least: below, a t test leans on a
	// normal distribution that so few cannot show (common practice, no source).
	fewestAtLook = 12
	// mostLooks is beyond what sittings a house holds for one study.
	mostLooks = 10
)

var spendings = []Spending{SpendLate, SpendEvenly}

// looks reads when the plan looks, and how it spends alpha.
func (o object) looks() (at []int, how Spending) {
	o.list("looks", 1, mostLooks, func(path string, node ast.Node) {
		if n, ok := o.wholeItem(path, node); ok {
			at = append(at, n)
		}
	})
	if usual := SpendLate; len(at) > 0 {
		return at, word(o, "spending", usual, spendings)
	}
	return nil, word(o, "spending", "", spendings)
}

// wholeItem reads a whole number in a list of numbers of people.
func (o object) wholeItem(path string, node ast.Node) (int, bool) {
	typed, _ := scalarOf(node)
	n, err := strconv.Atoi(typed)
	if isNumber(node) && wholeNumber.MatchString(typed) && err == nil && n >= 1 && n <= maxAssessors {
		return n, true
	}
	o.reject(path, Say("a look is %s, not a number of people", shown(node)),
		Say("write whole numbers from %d, as in looks: [16, 32]", fewestAtLook))
	return 0, false
}

// PlannedPeople is how many people the plan takes: all places, or those it stops after.
func (s *Study) PlannedPeople() int {
	if n := s.Plan.StopAfter; n > 0 {
		return n
	}
	return s.Panel.Assessors
}

// looksFit checks planned looks: they are of one paired comparison of everybody, and each is
// before the end.
func (r *reader) looksFit(s *Study) {
	p := s.Plan
	if len(p.Looks) == 0 {
		if p.Spending != "" && r.sound("analysis.spending", "analysis.looks") {
			r.reject("analysis.spending", Say("the plan has no looks over which the risk could be spread"),
				Say("write looks: and the numbers of people after which you look, as in [16, 32], or "+
					"leave spending out"))
		}
		return
	}
	if !r.looksSound() || !r.earlyHasATest(s, "looks", "planned looks are") {
		return
	}
	r.looksRise(s)
	if n := len(p.Looks); r.sound("panel", "panel.sittings") && n >= s.Panel.Sittings {
		r.reject("analysis.looks",
			Say("a look is taken at the end of a sitting before the last, and with %s there is no "+
				"room for %s", count(s.Panel.Sittings, "sitting"), count(n, "look")),
			Say("write sittings: %d under panel, or more, or leave looks out", n+1))
	}
}

// looksRise checks the numbers of people.
func (r *reader) looksRise(s *Study) {
	last, all := 0, s.PlannedPeople()
	for i, n := range s.Plan.Looks {
		path := fmt.Sprintf("analysis.looks[%d]", i)
		switch {
		case n < fewestAtLook:
			r.reject(path, Say("a look at %d people rests on too few", n),
				Say("write %d or more", fewestAtLook))
		case n <= last:
			r.reject(path, Say("the look at %d people does not come after the one at %d", n, last),
				Say("write the numbers from the first look to the last, each larger than the one before"))
		case r.sound("panel", "panel.assessors", "analysis.stop after") && n >= all:
			r.reject(path, Say("at a look at %d people all %d have tasted", n, all),
				Say("write numbers below %d: the last look, at the end, is always there", all))
		}
		last = n
	}
}

// looksSound reports whether every number of people could be read.
func (r *reader) looksSound() bool {
	for i := range mostLooks {
		if !r.sound(fmt.Sprintf("analysis.looks[%d]", i)) {
			return false
		}
	}
	return r.sound("analysis.looks", "analysis.spending")
}

// earlyHasATest reports whether the plan's test can be looked at early, as the key asks, and rejects
// one that cannot. Are is what the key is about, with its verb.
func (r *reader) earlyHasATest(s *Study, key, are string) bool {
	p, path, without := s.Plan, "analysis."+key, Say(", or leave %s out", key)
	if !r.sound("analysis.test", "analysis.compare", "analysis.effect of", "analysis.sides", "serving.design") {
		return false
	}
	switch {
	case !p.ComparesTwo():
		r.reject(path, Say("%s of one comparison of two samples", Say(are)), Say("write compare: [A, B]%s", without))
	case s.Serving.Design != All:
		r.reject(path, Say("%s of people who taste both samples, all of them", Say(are)),
			Say("write design: all under serving%s", without))
	case p.Test != PairedT:
		r.reject(path, Say("%s of a %s, and the plan has %s", Say(are), Say(method.PairedT.Title()), p.Test),
			Say("write test: paired-t%s", without))
	case p.Sides != TwoSided:
		r.reject(path, Say("%s two-sided", Say(are)), Say("write sides: two%s", without))
	default:
		return true
	}
	return false
}
