package report

import (
	"fmt"
	"math"
)

// hinted begins the sentence on a finding that is no more than a hint; "" else.
func (t teller) hinted() string {
	if t.f.Hint == nil {
		return ""
	}
	return "A hint, no more. "
}

// hint says why a finding is no more than a hint.
func (t teller) hint() string {
	h := t.f.Hint
	if h == nil {
		return ""
	}
	text := fmt.Sprintf("Why a hint: if the true difference is %s, only %s of a hundred such studies find one, "+
		"and those that do "+
		"overstate it %s times on average", t.worth(), ofHundred(h.Power), number(h.Exaggeration, 1))
	if h.WrongSign >= 0.005 {
		text += fmt.Sprintf("; %s of a hundred such findings point the wrong way", ofHundred(h.WrongSign))
	}
	return text + "."
}

// ofHundred is a share as so many of a hundred.
func ofHundred(share float64) string {
	if n := int(math.Round(100 * share)); n > 0 {
		return fmt.Sprintf("about %d", n)
	}
	return "less than one"
}
