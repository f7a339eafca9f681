package report

import (
	"math"

	"cloche/internal/study"
)

// hinted begins the sentence on a finding that is no more than a hint; "" else.
func (t teller) hinted() study.Said {
	if t.f.Hint == nil {
		return study.Said{}
	}
	return study.Say("A hint, no more. ")
}

// hint says why a finding is no more than a hint.
func (t teller) hint() study.Said {
	h := t.f.Hint
	if h == nil {
		return study.Said{}
	}
	said := study.Say("Why a hint: if the true difference is %s, only %s of a hundred such studies find one, and "+
		"those "+
		"that do overstate it %s times on average", t.worth(), ofHundred(h.Power), figure(h.Exaggeration, 1))
	if h.WrongSign >= 0.005 {
		said = study.Say("%s; %s of a hundred such findings point the wrong way", said, ofHundred(h.WrongSign))
	}
	return study.Say("%s.", said)
}

// ofHundred is a share as so many of a hundred.
func ofHundred(share float64) study.Said {
	if n := int(math.Round(100 * share)); n > 0 {
		return study.Say("about %d", n)
	}
	return study.Say("less than one")
}
