package report

import (
	"math"

	"cloche/internal/analysis"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

// doseWire is what findings on amounts have. Of a named dose, difference is what the dish
// is worth in the unit; of a dose, points for each unit more.
type doseWire struct {
	Difference value          `json:"difference"`
	Unit       string         `json:"unit"`
	Amounts    []doseStepWire `json:"amounts"`
	Slope      meanWire       `json:"slope"`
	Centre     value          `json:"centre"` // an amount, and the rating of the line there
	Level      value          `json:"rating_at_centre"`
	Complete   bool           `json:"complete"`   // everybody rated every amount
	OwnSlopes  bool           `json:"own_slopes"` // each person has a slope of their own in the model
	Sought     *soughtWire    `json:"sought,omitempty"`
	Laid       *laidWire      `json:"laid,omitempty"`
}

type doseStepWire struct {
	Sample study.SampleID `json:"sample"`
	Amount value          `json:"amount"`
	N      int            `json:"n"`
	Mean   value          `json:"mean"`
	CI     [2]value       `json:"ci"`
}

type meanWire struct {
	Value value    `json:"value"`
	CI    [2]value `json:"ci"`
	SE    value    `json:"se"`
	DF    value    `json:"df"`
	P     value    `json:"p"`
}

// setWire is a confidence set: ends are null where it has none.
type setWire struct {
	Shape    dose.RatioShape `json:"shape"` // bounded, two_rays, one_ray or whole_line
	CI       [2]value        `json:"ci"`
	Excluded [2]value        `json:"excluded"`
}

type soughtWire struct {
	Rating value `json:"rating"`
	Amount value `json:"amount"` // null where it lies outside the series
	setWire
}

type laidWire struct {
	Sample study.SampleID `json:"sample"`
	Amount value          `json:"amount"`
	Mean   value          `json:"mean"`
	Shift  meanWire       `json:"shift"`
	Like   value          `json:"rated_like"` // an amount
	Inside bool           `json:"within_series"`
	Cook   value          `json:"cook_with"` // an amount; null where it lies outside the series
	setWire
}

func doseToWire(f analysis.Finding) *doseWire {
	d := f.Dose
	w := &doseWire{Difference: value(f.Value), Unit: d.Unit.String(), Slope: meanToWire(d.Slope),
		Centre: value(d.Centre),
		Level:  value(d.Level), Complete: d.Complete, OwnSlopes: d.OwnSlopes}
	for _, x := range d.Steps {
		w.Amounts = append(w.Amounts, doseStepWire{x.Sample, value(x.Amount), x.N, value(x.Mean), ends(x.CI)})
	}
	if x := d.Sought; x != nil {
		w.Sought = &soughtWire{value(x.Rating), value(x.Amount), setToWire(x.Fieller)}
		if !x.Inside {
			w.Sought.Amount = value(math.NaN())
		}
	}
	if x := d.Laid; x != nil {
		w.Laid = &laidWire{x.Sample, value(x.Amount), value(x.Mean), meanToWire(x.Shift), value(x.Like), x.Inside,
			value(x.Cook), setToWire(x.Fieller)}
		if !x.CookInside {
			w.Laid.Cook = value(math.NaN())
		}
	}
	return w
}

func meanToWire(m dose.MeanOfPeople) meanWire {
	return meanWire{value(m.Value), ends(m.CI), value(m.SE), value(m.DF), value(m.P)}
}

func setToWire(x analysis.Fieller) setWire { return setWire{x.Shape, ends(x.CI), ends(x.Excluded)} }
