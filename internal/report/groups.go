package report

import (
	"fmt"
	"math"
	"strconv"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// groupsKind tells comparisons of two groups of people, each of whom rated one sample.
var groupsKind = kind{groupsVerdict, groupsAsked, groupsRow, groupsFigures}

func groupsVerdict(s *study.Study, f analysis.Finding) []study.Said {
	t := teller{s: s, f: f, c: contrastOf(s, f.Two())}
	t.a, _ = s.Attribute(f.Attribute)
	g := f.Groups
	switch v := f.Verdict; {
	case f.N == 0:
		return []study.Said{study.Say("No answer on “%s”: nobody rated %s.", t.a.Ask, t.c.between())}
	case v.Code == analysis.TooFew:
		first := study.Say("Too few to say on “%s”: %s rated %s and %s rated %s, and a verdict takes at least "+
			"%d in each group.",
			t.a.Ask, peopleOrNobody(g.Ns[0]), t.c.short[0], peopleOrNobody(g.Ns[1]), t.c.short[1],
			analysis.FewestInGroup(s.Plan.Alpha))
		if math.IsNaN(f.Value) {
			return []study.Said{first}
		}
		return []study.Said{first, t.fewDiffered()}
	case v.Different():
		return []study.Said{study.Say("%s%s%s: %s.", t.onTheSide(), t.hinted(), t.moved(), t.amount()), t.above(),
			t.sure(),
			t.acted(), t.ofTen(),
			t.notTheSame(), t.hint(), partners(t.againstTest()), partners(t.holdsZero()),
			partners(t.otherTest()), partners(t.numbers())}
	}
	if f.Verdict.Sameness {
		return t.samenessOfGroups()
	}
	if t.allTheSame() {
		return []study.Said{study.Say("No difference at all on “%s”: all %s gave the same rating, so there is "+
			"nothing to test.",
			t.a.Ask, people(f.N)), t.margin()}
	}
	first := study.Say("No clear difference on “%s” between %s: %s.", t.a.Ask, t.c.between(), t.amount())
	if math.IsNaN(f.Test.P) && !math.IsNaN(f.Value) { // nothing scatters where the two are compared
		return []study.Said{first, t.above(), t.margin(), study.Say("Whoever is compared gave the same rating as " +
			"all others of the " +
			"same group of guests, so that there is nothing to test.")}
	}
	numbers := t.numbers()
	if f.CI.Absent() && f.Measure == method.HodgesLehmannWithin {
		numbers = fmt.Sprintf("In numbers: %s; %s; so few people give no %s interval.", estimateWords(f),
			pPhrase(f.Test.Deciding()),
			percent(s.Plan.Level()))
	}
	return []study.Said{first, t.above(), t.margin(), partners(t.leavesOutZero()), partners(numbers)}
}

func peopleOrNobody(n int) study.Said {
	if n == 0 {
		return study.Say("nobody")
	}
	return people(n)
}

// allTheSame reports whether everybody in both groups gave one and the same rating.
func (t teller) allTheSame() bool {
	g := t.f.Groups
	return g.SDs == [2]float64{} && g.Means[0] == g.Means[1]
}

// above says how often somebody with the sample that came out higher rated above
// somebody with the other.
func (t teller) above() study.Said {
	share, with := t.f.Groups.Above.Value, t.c.short[0]
	if t.f.Verdict.Direction < 0 || t.f.Verdict.Direction == 0 && share < 0.5 {
		share, with = 1-share, t.c.short[1]
	}
	return study.Say("Take one person from each group at random: in %s of ten such pairs the one with %s "+
		"gives the higher rating, "+
		"ties counted half.", aboutOfTen(share), with)
}

// aboutOfTen is a share as so many of ten, and says where that is not all of it.
func aboutOfTen(share float64) study.Said {
	n := ofTen(share)
	switch {
	case n == 10 && share < 1:
		return study.Say("nearly ten")
	case n == 0 && share > 0:
		return study.Say("hardly any")
	case math.Abs(10*share-float64(n)) < 1e-9:
		return typed(strconv.Itoa(n))
	}
	return study.Say("about %d", n)
}

// samenessOfGroups says whether two samples are practically the same, where the plan asks
// that of two groups.
func (t teller) samenessOfGroups() []study.Said {
	above := t.above()
	by := study.Say("%s %s", figure(math.Abs(t.f.Value), decimalsFor(t.a.Scale)), pointsOf(t.a.Scale))
	differ := study.Say("on average the two groups differ by %s", by)
	if t.f.Measure != method.MeanDifference {
		differ = study.Say("the middle difference is %s", by)
	}
	if t.allTheSame() {
		differ, above = study.Say("all %s gave the same rating", people(t.f.N)), study.Said{}
	}
	if t.f.Verdict.Code == analysis.Alike {
		return []study.Said{study.Say("On “%s”, %s are practically the same: %s.", t.a.Ask, t.c.between(),
			differ), above,
			t.margin(), partners(t.samenessTest()), partners(t.differsToo())}
	}
	return []study.Said{study.Say("Not shown that %s are practically the same on “%s”: %s.", t.c.between(), t.a.Ask,
		differ), above, t.margin(), partners(t.samenessTest())}
}

func groupsAsked(s *study.Study, f analysis.Finding) string {
	a, _ := s.Attribute(f.Attribute)
	c := contrastOf(s, f.Two())
	within, same := "", ""
	if f.Verdict.Sameness {
		same = "are they practically the same? "
	}
	if f.Groups.Strata > 1 {
		within = fmt.Sprintf(", compared within %d groups of guests that the plan keeps apart", f.Groups.Strata)
	}
	return fmt.Sprintf("Asked beforehand: “%s” — %s%s, rated by %s, against %s%s, rated by %s, one sample each%s.",
		a.Ask, same, c.short[0],
		peopleOrNobody(f.Groups.Ns[0]), c.short[1], bracketed(c.shared), peopleOrNobody(f.Groups.Ns[1]), within)
}

// groupsRow is the row of two groups: as that of a pair, but for who and how many.
func groupsRow(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes) Row {
	f.Pair.Means = f.Groups.Means
	r := pairRow(s, f, v, notes)
	r.People = fmt.Sprintf("%d + %d", f.Groups.Ns[0], f.Groups.Ns[1])
	r.Moved = none
	if a := f.Groups.Above; f.Groups.Ns[0] > 0 && f.Groups.Ns[1] > 0 {
		r.Moved = number(100*a.Value, 0) + " %"
	}
	return r
}

// groupsWire is what a comparison of two groups has beside the fields of a pair.
type groupsWire struct {
	Ns     [2]int `json:"ns"`
	Strata int    `json:"strata,omitempty"` // within which the groups are compared
}
