package main

import (
	"encoding/json"
	"io"
	"math"

	"cloche/internal/analysis"
)

// The JSON of a size. What cannot be computed or was not asked is null. Readers
// ignore fields that they do not know.
type powerJSON struct {
	Study       *string     `json:"study"`
	Test        string      `json:"test"`
	Sides       string      `json:"sides"`
	Alpha       float64     `json:"alpha"`
	Wished      float64     `json:"power"`
	Difference  *float64    `json:"difference"`
	Share       *float64    `json:"share"`
	Distance    *float64    `json:"distance"`
	Alike       bool        `json:"alike,omitempty"` // to show that fewer than the share tell
	Beta        *float64    `json:"beta,omitempty"`  // the risk of saying so
	ScaleLength *float64    `json:"scale_length"`    // no difference can be longer
	Spread      *spreadJSON `json:"spread"`
	Effect      *float64    `json:"effect"`
	Needed      *panelJSON  `json:"needed"`
	// a smaller panel that has the power, while some larger ones do not
	Earliest    *panelJSON         `json:"earliest"`
	Block       int                `json:"block"`
	Even        *int               `json:"even"` // the next panel of whole blocks
	Planned     *panelJSON         `json:"planned"`
	Places      *int               `json:"places"`
	Held        *panelJSON         `json:"held"` // what the seats hold, when you would need more
	Beside      []besideJSON       `json:"beside"`
	Early       []earlyJSON        `json:"early,omitempty"`         // of a plan that stops early
	Looking     *lookingJSON       `json:"looking_early,omitempty"` // of a plan of ratings
	Ahead       []aheadJSON        `json:"worth_of_a_name,omitempty"`
	Way         *wayAheadJSON      `json:"share_of_the_way,omitempty"`
	OtherWays   []otherWayJSON     `json:"other_ways"`
	Curve       []panelJSON        `json:"curve"`
	Assumptions []string           `json:"assumptions"`
	Warnings    []analysis.Warning `json:"warnings"`
}

// besideJSON is the size of another answer that the same study gives.
// otherWayJSON is another question that finds the same difference.
type otherWayJSON struct {
	Question  string `json:"question"`
	Assessors int    `json:"assessors"`
	Portions  int    `json:"portions"`
	Named     bool   `json:"named"` // only in the attribute that it names
}

// aheadJSON is what a panel would find of a name that is laid on a series of amounts.
type aheadJSON struct {
	Assessors int      `json:"assessors"`
	Studies   int      `json:"studies"`
	Worth     float64  `json:"worth"`     // of the name, in the unit of the amounts
	Found     float64  `json:"found"`     // share of the studies
	Unbounded float64  `json:"unbounded"` // share of the studies
	Reach     *float64 `json:"reach"`     // half of the interval, in the unit of the amounts
}

// wayAheadJSON is what a panel would find of how far a name draws ratings from blind to expected.
type wayAheadJSON struct {
	Assessors *int              `json:"assessors"` // planned who say what they expect and taste the dish both ways
	Studies   int               `json:"studies"`   // simulated, for each row
	Share     float64           `json:"share"`     // of the way that the name truly goes
	Within    float64           `json:"within"`    // half of the interval that the panel needed has
	Rows      []wayAheadRowJSON `json:"rows"`
}

type wayAheadRowJSON struct {
	Gap    float64  `json:"gap"`    // expected minus tasted blind, scale points
	Named  *float64 `json:"named"`  // share of the studies in which the share of the way has two ends
	Drawn  *float64 `json:"drawn"`  // share of the studies whose interval is clear of 0
	Reach  *float64 `json:"reach"`  // half of the interval, as a share of the way
	Needed *int     `json:"needed"` // assessors in all
}

// earlyJSON is what a plan that stops early comes to, when so many people tell.
type earlyJSON struct {
	Share     float64 `json:"share"`
	Answers   float64 `json:"answers"` // on average
	Different float64 `json:"told_apart"`
	Similar   float64 `json:"unnoticed"`
	Open      float64 `json:"open"`
}

// lookingJSON is what a plan of ratings that looks before its end comes to.
type lookingJSON struct {
	Assessors int              `json:"assessors"` // at the most
	Studies   int              `json:"studies"`   // simulated
	Looks     []int            `json:"looks"`     // people; none where evidence is counted
	Needed    *int             `json:"needed"`    // people by whom there is enough evidence, with the power wished for
	Rows      []lookingRowJSON `json:"rows"`
}

type lookingRowJSON struct {
	Difference float64   `json:"difference"`
	Found      float64   `json:"found"`
	Early      float64   `json:"early"` // share that stop before everybody has tasted
	People     float64   `json:"people"`
	AtLook     []float64 `json:"at_look,omitempty"` // share that stop at each look, the one at the end last
}

type besideJSON struct {
	Code      string   `json:"code"`
	What      string   `json:"what"`
	Needed    *int     `json:"needed"`
	Planned   *float64 `json:"planned"` // power of the panel planned
	Simulated bool     `json:"simulated"`
}

type spreadJSON struct {
	SD          float64  `json:"sd"`
	Source      string   `json:"source"`
	PerRating   *float64 `json:"per_rating"`
	Correlation *float64 `json:"correlation"`
}

type panelJSON struct {
	Assessors   int            `json:"assessors"`
	Comparisons int            `json:"comparisons"` // pairs, assessors in each group, or answers
	Power       *float64       `json:"power"`
	Detects     *float64       `json:"detects"` // smallest difference found with the power wished for
	Distance    *float64       `json:"detects_distance"`
	Cost        *analysis.Cost `json:"cost,omitempty"`
}

// orNull is v, or null when it is not a number.
func orNull(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// unlessZero is v, or null when it was not given.
func unlessZero[T int | float64](v T) *T {
	if v == 0 {
		return nil
	}
	return &v
}

func panelWire(p analysis.PanelPower) *panelJSON {
	if p.Assessors == 0 {
		return nil
	}
	return &panelJSON{Assessors: p.Assessors, Comparisons: p.Comparisons, Power: orNull(p.Power),
		Detects: orNull(p.Detects), Distance: orNull(p.Distance)}
}

func (a powerAnswer) writeJSON(w io.Writer) error {
	x, err := a.asJSON()
	if err != nil {
		return err
	}
	to := json.NewEncoder(w)
	to.SetIndent("", "  ")
	to.SetEscapeHTML(false)
	return to.Encode(x)
}

func (a powerAnswer) asJSON() (powerJSON, error) {
	z, q := a.size, a.size.Request
	x := powerJSON{
		Test: string(q.Test), Sides: string(q.Sides), Alpha: q.Alpha, Wished: q.Power,
		Difference: unlessZero(q.Difference), Share: unlessZero(q.Share), Distance: unlessZero(q.Distance),
		Alike: q.Alike, Beta: unlessZero(q.Beta),
		ScaleLength: unlessZero(q.Length), Effect: orNull(z.Effect), Needed: panelWire(z.Needed),
		Earliest: panelWire(z.First), Block: q.Block, Even: unlessZero(z.Even),
		Planned: panelWire(z.Planned), Places: unlessZero(q.Places), Held: panelWire(z.Held),
		Beside: []besideJSON{}, OtherWays: []otherWayJSON{}, Curve: []panelJSON{},
		Assumptions: []string{}, Warnings: []analysis.Warning{},
	}
	if a.study != nil {
		x.Study = &a.study.Title
	}
	for _, said := range z.Assumptions {
		x.Assumptions = append(x.Assumptions, said.String())
	}
	for _, w := range z.Warnings {
		x.Warnings = append(x.Warnings, analysis.Warning{Code: w.Code, Text: w.Said.String()})
	}
	if s := q.Spread; !q.Test.IsChoice() {
		x.Spread = &spreadJSON{SD: s.SD, Source: string(s.Source), PerRating: unlessZero(s.PerRating)}
		if s.Source == analysis.SpreadPerRating {
			x.Spread.Correlation = &s.Correlation
		}
	}
	for _, b := range z.Beside {
		x.Beside = append(x.Beside, besideJSON{b.Code, b.What.String(), unlessZero(b.Needed), orNull(b.Planned),
			b.Simulated})
	}
	for _, w := range z.Ahead {
		x.Ahead = append(x.Ahead, aheadJSON{w.Assessors, w.Studies, z.Request.Worth, w.Found, w.Unbounded,
			orNull(w.Reach)})
	}
	for _, e := range z.Early {
		x.Early = append(x.Early, earlyJSON{e.Share, e.Mean, e.Different, e.Similar, e.Open})
	}
	if w := z.Looking; w != nil {
		x.Looking = &lookingJSON{Assessors: w.Assessors, Studies: w.Studies, Looks: append([]int{}, w.Looks...),
			Needed: unlessZero(w.Needed)}
		for _, r := range w.Rows {
			x.Looking.Rows = append(x.Looking.Rows, lookingRowJSON(r))
		}
	}
	if w := z.Way; w != nil {
		x.Way = &wayAheadJSON{unlessZero(w.Assessors), w.Studies, analysis.WayTried, analysis.WayWithin, nil}
		for _, r := range w.Rows {
			x.Way.Rows = append(x.Way.Rows, wayAheadRowJSON{r.Gap, orNull(r.Named), orNull(r.Drawn), orNull(r.Reach),
				unlessZero(r.Needed)})
		}
	}
	for _, w := range z.OtherWays {
		x.OtherWays = append(x.OtherWays, otherWayJSON{string(w.Question), w.Needed, w.Portions(), w.Named})
	}
	for _, p := range z.Curve {
		x.Curve = append(x.Curve, *panelWire(p))
	}
	for _, p := range []*panelJSON{x.Needed, x.Planned} {
		if p == nil || a.study == nil {
			continue
		}
		c, err := analysis.CostOf(a.study, p.Assessors)
		if err != nil {
			return x, err
		}
		p.Cost = &c
	}
	return x, nil
}
