package report

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// thresholdWire is what a threshold has beside its estimate: an amount.
type thresholdWire struct {
	Value       value            `json:"value"` // of the group, by best estimates
	Unit        string           `json:"unit"`
	Amounts     []risingStepWire `json:"amounts"`
	Right       int              `json:"right"`
	Answers     int              `json:"answers"`
	Chance      value            `json:"chance"`
	LogSD       value            `json:"log10_sd"`
	FalseStarts int              `json:"false_starts"` // people who were right below their last miss
	Below       int              `json:"right_throughout"`
	Above       int              `json:"missed_largest"`
	Inside      bool             `json:"within_series"`
	Curve       curveWire        `json:"curve"`
	Each        []ownWire        `json:"people"`
}

type risingStepWire struct {
	Sample study.SampleID `json:"sample"`
	Amount value          `json:"amount"`
	N      int            `json:"n"`
	Right  int            `json:"right"`
}

type curveWire struct {
	Value  value    `json:"value"` // the amount that half of the people taste
	CI     [2]value `json:"ci"`
	Slope  value    `json:"slope"` // logits for each tenfold amount
	Inside bool     `json:"within_series"`
}

// ownWire is one person's threshold, null where a tray was not answered.
type ownWire struct {
	Assessor  string `json:"assessor"`
	Threshold value  `json:"threshold"`
}

func thresholdToWire(f analysis.Finding) *thresholdWire {
	t := f.Threshold
	w := &thresholdWire{Value: value(f.Value), Unit: t.Unit.String(), Right: t.Right, Answers: t.Answers,
		Chance: value(t.Chance), LogSD: value(t.LogSD), FalseStarts: t.FalseStarts, Below: t.Below, Above: t.Above,
		Inside: t.Inside,
		Curve:  curveWire{value(t.Curve.Value), ends(t.Curve.CI), value(t.CurveSlope), t.CurveInside}}
	for _, x := range t.Steps {
		w.Amounts = append(w.Amounts, risingStepWire{x.Sample, value(x.Amount), x.N, x.Right})
	}
	for _, x := range t.Each {
		w.Each = append(w.Each, ownWire{x.Assessor, value(x.Threshold)})
	}
	return w
}
