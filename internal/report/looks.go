package report

import (
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// looked says what the planned looks did to the answer; "" where there were none.
func (t teller) looked() study.Said {
	if t.f.Evidence != nil {
		return t.counted()
	}
	l := t.f.Looks
	if l == nil || len(l.Taken) == 0 {
		return study.Said{}
	}
	n := decimalsFor(t.a.Scale)
	last := l.Taken[len(l.Taken)-1]
	if l.Stopped == 0 {
		switch len(l.Taken) {
		case 1:
			return study.Say("No look was taken before the end, so that nothing has to be allowed for.")
		case 2:
			return study.Say("One look before the end was not clear enough to stop; what is said of the difference " +
				"allows for that.")
		}
		return study.Say("%d looks before the end were not clear enough to stop; what is said of the difference "+
			"allows "+
			"for that.", len(l.Taken)-1)
	}
	stopped := study.Say("At planned look %d the difference was clear, so that tasting stopped after %d of %d "+
		"people.",
		l.Stopped, last.People, l.Planned)
	if len(l.Taken) == 1 {
		return study.Say("%s Whoever stops at a clear difference finds it too large on average: plan the next "+
			"study on "+
			"less.", stopped)
	}
	return study.Say("%s The figure allows for the earlier looks; the plain mean of the differences, %s, "+
		"exaggerates, "+
		"and after an early stop the figure hardly less: plan the next study on less.", stopped,
		signedFigure(l.Plain.Value, n))
}

// lookFacts are the looks, or running evidence, for whoever checks the work; none where the plan has neither.
func lookFacts(s *study.Study, r *analysis.Result) (facts []Fact) {
	if len(r.Findings) > 0 && r.Findings[0].Evidence != nil {
		return evidenceFacts(s, r.Findings[0])
	}
	if len(r.Findings) == 0 || r.Findings[0].Looks == nil {
		return nil
	}
	l := r.Findings[0].Looks
	for k, x := range l.Taken {
		name := fmt.Sprintf("Look %d", k+1)
		if k == len(l.Taken)-1 && l.Stopped == 0 {
			name = "Look at the end"
		}
		facts = append(facts, Fact{name, fmt.Sprintf("%d of %d people, α spent %s; t = %s, %s", x.People, l.Planned,
			AlphaSpent(x.Bound.Spent), number(x.T, 2), heldAgainst(x))})
	}
	a, _ := s.Attribute(s.Plan.Attribute)
	n := decimalsFor(a.Scale) + 1
	return append(facts, Fact{"Mean difference as of one look",
		fmt.Sprintf("%s (%s)", signed(l.Plain.Value, n), interval(l.Plain.CI, n))})
}

// AlphaSpent writes what a look has spent of α, in four decimals; less than they show is not told
// as nothing.
func AlphaSpent(a float64) string {
	if a > 0 && a < 0.0001 {
		return "< 0.0001"
	}
	return number(a, 4)
}

// heldAgainst says what a look needed and whether it was reached.
func heldAgainst(x analysis.LookNow) string {
	switch {
	case math.IsInf(x.Critical, 1):
		return "nothing was left to spend"
	case x.Reached:
		return fmt.Sprintf("stops from |t| = %s on: reached", number(x.Critical, 2))
	}
	return fmt.Sprintf("stops from |t| = %s on: not reached", number(x.Critical, 2))
}

// looksWire is what the planned looks came to.
type looksWire struct {
	Spending study.Spending `json:"spending"`
	Planned  int            `json:"planned"`
	Stopped  int            `json:"stopped_at"` // look; 0 = at none before the end
	Later    int            `json:"later"`      // people who rated after it and do not count
	Plain    effectWire     `json:"plain"`
	Taken    []lookWire     `json:"taken"`
}

type lookWire struct {
	N          int   `json:"n"`
	Fraction   value `json:"fraction"`
	Spent      value `json:"alpha_spent"`
	Z          value `json:"z_bound"`
	Critical   value `json:"t_bound"`
	Difference value `json:"difference"`
	T          value `json:"t"`
	P          value `json:"p_of_one_look"`
	Reached    bool  `json:"reached"`
}

func looksToWire(l *analysis.LooksPart) *looksWire {
	if l == nil {
		return nil
	}
	w := &looksWire{l.Spending, l.Planned, l.Stopped, l.Later, effectToWire(l.Plain), []lookWire{}}
	for _, x := range l.Taken {
		w.Taken = append(w.Taken, lookWire{x.People, value(x.Bound.Fraction), value(x.Bound.Spent), value(x.Bound.Z),
			value(x.Critical), value(x.Difference), value(x.T), value(x.P), x.Reached})
	}
	return w
}
