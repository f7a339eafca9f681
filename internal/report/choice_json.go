package report

import "cloche/internal/analysis"

// choiceWire is what answers by choosing have.
type choiceWire struct {
	Chance     *value      `json:"chance,omitempty"`
	Share      *value      `json:"share,omitempty"`
	Right      *int        `json:"right,omitempty"` // of a test of difference, as the next two
	Tellers    *effectWire `json:"tellers,omitempty"`
	DPrime     *effectWire `json:"d_prime,omitempty"`
	LeastRight *int        `json:"least_right,omitempty"` // from which on they are more than guessing gives
	Early      *earlyWire  `json:"one_by_one,omitempty"`  // where the plan stops early
	Alike      *alikeWire  `json:"alike,omitempty"`       // where the plan asks if so few tell that it passes unnoticed
	First      *int        `json:"first,omitempty"`       // of a preference, as the next two
	Second     *int        `json:"second,omitempty"`
	None       *int        `json:"none,omitempty"`

	Said     *saidWire `json:"said,omitempty"` // of what was said of a turn, as the next
	Distance *value    `json:"distance,omitempty"`
}

// earlyWire is how answers ran that were taken one by one.
type earlyWire struct {
	Decided string  `json:"decided"` // different, similar or open
	Share   float64 `json:"share"`
	Most    int     `json:"most"`  // answers planned
	Later   int     `json:"later"` // answers that do not count
	Slope   float64 `json:"slope"`
	Low     float64 `json:"low"`  // the line below which so few tell that it passes, at 0 answers
	High    float64 `json:"high"` // the line above which people tell them apart
	Steps   []int   `json:"right_after"`
}

func earlyToWire(e *analysis.ToldEarly) *earlyWire {
	if e == nil {
		return nil
	}
	return &earlyWire{e.State.String(), e.Share, e.Most, e.Later, e.Lines.Slope, e.Lines.Low, e.Lines.High, e.Steps}
}

type alikeWire struct {
	Share float64 `json:"share"`
	Most  *int    `json:"most_right"` // null where no number shows it
	P     value   `json:"p"`
	Upper value   `json:"upper"`
	Level value   `json:"level"`
}

func alikeToWire(a *analysis.ToldAlike) *alikeWire {
	if a == nil {
		return nil
	}
	w := &alikeWire{Share: a.Share, P: value(a.P), Upper: value(a.Upper.Value), Level: value(a.Upper.CI.Level)}
	if a.Most >= 0 {
		w.Most = &a.Most
	}
	return w
}

type saidWire struct {
	OfTrue  saidOf `json:"of_true"`
	OfOther saidOf `json:"of_other"`
}

type saidOf struct {
	Said int `json:"said"`
	Of   int `json:"of"`
}

func choiceToWire(f analysis.Finding) *choiceWire {
	w := &choiceWire{Chance: pointTo(value(f.Choice.Chance)), Share: pointTo(value(f.Value))}
	if t := f.Choice.Told; t != nil {
		w.Right, w.Tellers, w.DPrime = &t.Right, pointTo(effectToWire(t.Tellers)), pointTo(effectToWire(t.DPrime))
		w.Alike, w.Early = alikeToWire(t.Alike), earlyToWire(t.Early)
		if t.Least > 0 {
			w.LeastRight = &t.Least
		}
	}
	if x := f.Choice.Said; x != nil {
		return &choiceWire{Distance: pointTo(value(f.Value)), Said: &saidWire{saidOf{x.X1, x.N1}, saidOf{x.X2, x.N2}}}
	}
	if p := f.Choice.Preferred; p != nil {
		w.First, w.Second, w.None = &p.First, &p.Second, &p.None
	}
	return w
}
