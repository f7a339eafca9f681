package report

import (
	"fmt"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// addAsking puts whether being asked changed the tasting into the part on what was expected.
func (e *Expected) addAsking(s *study.Study, all []analysis.AskingEffect) {
	if len(all) == 0 {
		return
	}
	t := NumberTable{Title: "Did asking change the tasting?", Said: []string{askedText(s, all[0])},
		Headings: []string{"Compared", "Question", "Asked (people)", "Not asked (people)",
			fmt.Sprintf("Asked minus not asked (%s interval)", percent(s.Plan.Level())), "p"},
		Below: []string{"A random half of the panel was asked what they expect, the other half was not: they " +
			"differ by chance and by the asking alone. " + upperFirst(method.WelchT.Title()) + "; exploratory, " +
			"and p is not adjusted for the number of rows."}}
	for _, h := range all {
		a, _ := s.Attribute(h.Attribute)
		n := decimalsFor(a.Scale)
		cell := func(k int) string { return fmt.Sprintf("%s (%d)", number(h.Means[k], n), h.Ns[k]) }
		t.Rows = append(t.Rows, []string{upperFirst(askedOf(s, h)), a.Ask, cell(0), cell(1),
			fmt.Sprintf("%s (%s)", signed(h.Value, n), interval(h.CI, n)), pValue(h.Test.P)})
	}
	for _, h := range all[:1] {
		for _, w := range h.Warnings {
			t.Below = append(t.Below, upperFirst(w.Text)+".")
		}
	}
	e.Asking = []NumberTable{t}
}

// askedOf names what the halves are compared by.
func askedOf(s *study.Study, h analysis.AskingEffect) string {
	if h.Minus == "" {
		return analysis.Label(s, h.Sample)
	}
	return analysis.Label(s, h.Sample) + " minus " + analysis.Label(s, h.Minus)
}

// askedText says whether being asked changed what the plan compares.
func askedText(s *study.Study, h analysis.AskingEffect) string {
	a, _ := s.Attribute(h.Attribute)
	n := decimalsFor(a.Scale)
	numbers := fmt.Sprintf("%s %s in %s (%s interval %s; %d asked, %d not)", signed(h.Value, n), points(a.Scale),
		askedOf(s, h), percent(h.CI.Level), interval(h.CI, n), h.Ns[0], h.Ns[1])
	switch {
	case h.TooFew || h.CI.Absent():
		return fmt.Sprintf("Too few to say whether being asked changed the tasting on “%s”: %d asked, %d not.", a.Ask,
			h.Ns[0], h.Ns[1])
	case h.Test.P < s.Plan.Alpha:
		return fmt.Sprintf("Being asked what they expect changed the tasting on “%s”: %s.", a.Ask, numbers)
	}
	return fmt.Sprintf("No clear sign that being asked what they expect changed the tasting on “%s”: %s. A "+
		"change of up to %s is not ruled out.", a.Ask, numbers, number(max(math.Abs(h.CI.Lo), math.Abs(h.CI.Hi)), n))
}

// askingEffectWire compares those who were asked what they expect with those who were not.
type askingEffectWire struct {
	Attribute  study.AttributeID `json:"attribute"`
	Comparison []study.SampleID  `json:"comparison"` // one: the halves are compared by its rating
	Role       analysis.Role     `json:"role"`
	Ns         [2]int            `json:"ns"` // asked, and not
	Means      [2]value          `json:"means"`
	Difference value             `json:"difference"`
	CI         [2]value          `json:"ci"`
	Level      value             `json:"level"`
	Test       testWire          `json:"test"`
	Warnings   []warningWire     `json:"warnings"`
}

func askingEffectToWire(h analysis.AskingEffect) askingEffectWire {
	w := askingEffectWire{h.Attribute, []study.SampleID{h.Sample}, analysis.Exploratory, h.Ns,
		[2]value{value(h.Means[0]), value(h.Means[1])}, value(h.Value), ends(h.CI), value(h.CI.Level),
		testToWire(h.Test), warningsToWire(h.Warnings)}
	if h.Minus != "" {
		w.Comparison = append(w.Comparison, h.Minus)
	}
	return w
}
