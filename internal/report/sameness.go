package report

import (
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// sameness says whether two samples are practically the same, where the plan asks that.
func (t teller) sameness() []study.Said {
	f := t.f
	by := study.Say("%s %s", figure(math.Abs(f.Value), decimalsFor(t.a.Scale)), pointsOf(t.a.Scale))
	onAverage := study.Say("on average they differ by %s", by)
	if t.withoutScatter() {
		onAverage = study.Say("each of %s moved by exactly %s", people(f.N), by)
	}
	counted := t.counts()
	if f.N == f.Pair.Moved.Same {
		onAverage = study.Say("each of %s gave both the same rating", people(f.N))
		counted = study.Say("Nobody rated one above the other.")
	}
	if f.Verdict.Code == analysis.Alike {
		first := study.Say("On “%s”, %s are practically the same: %s.", t.a.Ask, t.c.between(), onAverage)
		return []study.Said{first, counted, t.margin(), partners(t.samenessTest()), partners(t.differsToo())}
	}
	first := study.Say("Not shown that %s are practically the same on “%s”: %s.", t.c.between(), t.a.Ask, onAverage)
	return []study.Said{first, counted, t.margin(), partners(t.samenessTest())}
}

// samenessTest gives the test of equivalence with the interval that it looks at.
func (t teller) samenessTest() string {
	finds := "does not find it"
	if t.f.Verdict.Code == analysis.Alike {
		finds = "finds it"
	}
	return fmt.Sprintf("The %s %s (%s; %s).", t.f.Test.Name(), finds, pPhrase(t.f.Test.P), intervalPhrase(t.a, t.f))
}

// differsToo says that samples which are practically the same differ all the same.
func (t teller) differsToo() string {
	x := t.f.TestOfDifference()
	if !(x.P < t.s.Plan.Alpha) {
		return ""
	}
	return fmt.Sprintf("They are not exactly the same: a difference is there (%s, %s), and it is a small one.",
		x.Name(), pPhrase(x.P))
}

// notTheSame answers a plan that asks whether two are practically the same, where a
// difference was found.
func (t teller) notTheSame() study.Said {
	switch v := t.f.Verdict; {
	case !v.Sameness:
		return study.Said{}
	case v.Code == analysis.DifferentAct:
		return study.Say("The plan asked whether they are practically the same: they are not.")
	}
	return study.Say("The plan asked whether they are practically the same: that is not shown.")
}
