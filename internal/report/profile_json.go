package report

import (
	"cloche/internal/analysis"
	"cloche/internal/stats/profile"
	"cloche/internal/study"
)

// profileWire is what a study that describes its samples finds beside its findings. It has
// no single assessor.
type profileWire struct {
	Map   *mapWire      `json:"map"` // null: see no_map
	NoMap *warningWire  `json:"no_map,omitempty"`
	Panel []panelOnWire `json:"panel"`
}

type mapWire struct {
	Samples    []mapSampleWire     `json:"samples"`
	Attributes []mapAttributeWire  `json:"attributes"`
	Left       []study.AttributeID `json:"left_out"` // attributes on which the samples are not told apart
	Explained  [2]value            `json:"explained"`
	N          int                 `json:"n"`
	Level      value               `json:"level"`
	Draws      int                 `json:"draws"`
	Warnings   []warningWire       `json:"warnings"`
}

type mapSampleWire struct {
	Sample study.SampleID `json:"sample"`
	X      value          `json:"x"`
	Y      value          `json:"y"`
	Major  value          `json:"ellipse_major"` // half axes, and the angle of the major one in radians
	Minor  value          `json:"ellipse_minor"`
	Angle  value          `json:"ellipse_angle"`
}

type mapAttributeWire struct {
	Attribute study.AttributeID `json:"attribute"`
	X         value             `json:"x"`
	Y         value             `json:"y"`
}

type panelOnWire struct {
	Attribute     study.AttributeID `json:"attribute"`
	Interaction   testOfPanelWire   `json:"sample_by_assessor"`
	Repeatability value             `json:"repeatability_sd"`
	N             int               `json:"n"`
	One           effectWire        `json:"one_assessor"`
	Whole         effectWire        `json:"whole_panel"`
}

type testOfPanelWire struct {
	F   value `json:"f"`
	DF1 value `json:"df"`
	DF2 value `json:"df2"`
	P   value `json:"p"`
}

func profileToWire(x *analysis.Profile) *profileWire {
	if x == nil {
		return nil
	}
	w := &profileWire{Map: mapToWire(x.Map), Panel: []panelOnWire{}}
	if x.Map == nil {
		w.NoMap = pointTo(warningWire(x.NoMap))
	}
	for _, on := range x.Panel {
		w.Panel = append(w.Panel, panelOnWire{Attribute: on.Attribute, N: on.N,
			Interaction:   testOfPanelWire{value(on.FInteraction), value(on.DF1), value(on.DF2), value(on.P)},
			Repeatability: value(on.Repeatability), One: iccToWire(on.One), Whole: iccToWire(on.Whole)})
	}
	return w
}

func iccToWire(c profile.ICC) effectWire {
	return effectWire{Value: value(c.Value), CI: ends(c.CI), Level: value(c.CI.Level)}
}

func mapToWire(m *analysis.ProductMap) *mapWire {
	if m == nil {
		return nil
	}
	w := &mapWire{Left: append([]study.AttributeID{}, m.Left...), N: m.N, Level: value(m.Level), Draws: m.Draws,
		Explained: [2]value{value(m.Explained[0]), value(m.Explained[1])}, Warnings: warningsToWire(m.Warnings)}
	for _, x := range m.Samples {
		w.Samples = append(w.Samples, mapSampleWire{x.Sample, value(x.X), value(x.Y), value(x.Major), value(x.Minor),
			value(x.Angle)})
	}
	for _, a := range m.Attributes {
		w.Attributes = append(w.Attributes, mapAttributeWire{a.Attribute, value(a.X), value(a.Y)})
	}
	return w
}
