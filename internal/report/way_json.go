package report

import (
	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// wayWire is how far a name drew the ratings of its dish from blind to expected.
type wayWire struct {
	Sample    study.SampleID    `json:"sample"`
	Blind     study.SampleID    `json:"blind"` // the same dish without a name
	Attribute study.AttributeID `json:"attribute"`
	Role      analysis.Role     `json:"role"`
	N         int               `json:"n"`
	Expected  pointWire         `json:"expected"`
	Tasted    pointWire         `json:"tasted_blind"`
	Named     pointWire         `json:"tasted_named"`
	Gap       meanWire          `json:"expected_minus_blind"`
	Moved     meanWire          `json:"named_minus_blind"`
	Left      meanWire          `json:"named_minus_expected"`
	Estimate  method.ID         `json:"estimate"`
	Share     value             `json:"share"`
	G         value             `json:"g"` // bounded only below 1
	setWire
	Level    value             `json:"level"`
	Verdict  dose.Assimilation `json:"verdict,omitempty"` // not of too few
	Excluded map[string]int    `json:"excluded"`
	Warnings []warningWire     `json:"warnings"`
}

// pointWire is a mean rating.
type pointWire struct {
	Value value    `json:"value"`
	CI    [2]value `json:"ci"`
	SE    value    `json:"se"`
}

func pointToWire(m dose.MeanOfPeople) pointWire {
	return pointWire{value(m.Value), ends(m.CI), value(m.SE)}
}

func wayToWire(w analysis.Way) wayWire {
	out := wayWire{Sample: w.Sample, Blind: w.Twin, Attribute: w.Attribute, Role: analysis.Exploratory, N: w.N,
		Expected: pointToWire(w.Expected), Tasted: pointToWire(w.Blind), Named: pointToWire(w.Informed),
		Gap: meanToWire(w.Gap), Moved: meanToWire(w.Moved), Left: meanToWire(w.Left), Estimate: method.ShareOfWay,
		Share: value(w.Fieller.Ratio), G: value(w.Fieller.G), setWire: setToWire(fiellerOf(w.Fieller)),
		Level: value(w.Gap.CI.Level), Verdict: w.Verdict, Excluded: exclusionsToWire(w.Excluded),
		Warnings: warningsToWire(w.Warnings)}
	if w.TooFew {
		out.Verdict = ""
	}
	return out
}
