package builder

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// sizeAnswer is how many assessors are needed, in words, figure and tables.
type sizeAnswer struct {
	Missing    string    // why nothing can be reckoned; "" when it can
	Where      *StepLink // the step that it can be mended on
	wrongField string    // the name of the field that it is about
	Told       string    // the answer in a sentence
	Near       []string  // how close panels come to what is sought: a threshold, or what a name is worth
	Counts     []sizeCount
	Beside     []besideRow    // what the same evening answers too
	Early      []earlyRow     // of a plan that stops early
	Looking    *lookingAnswer // of a plan of ratings that looks early
	Way        *wayAnswer     // of a name that is read, and tasted blind and under it
	Ways       *waysFigure    // the same question asked in all ways
	AllWays    []wayRow       // of asking, that find the same difference
	AtDistance string         // d′ that they find
	Planned    int            // assessors; 0 = none
	Noticed    *notes         // what the panel planned would notice, on the scale
	Cautions   []string       // the wish cannot be met, or not with what is there
	Plans      []planButton
	Curve      *sizeCurve
	DetectHead string
	Rows       []sizeRow
	Costs      []costColumn
	Dishes     []costLine
	Rests      []string // what the numbers rest on
}

type sizeCount struct{ Of, N string }

type planButton struct {
	N     int
	Label string
}

// besideRow is the size of another answer that the study gives.
type besideRow struct{ What, Needed, Planned string }

// wayRow is what another question takes to find the same difference.
type wayRow struct {
	Number              int // on its line in the figure; 0 without one
	Title               string
	Assessors, Portions string
	Named               bool // only in the attribute that it names
	Own                 bool // it is what the study asks
}

type sizeRow struct {
	Assessors      int
	Power, Detects string
}

// costColumn is what one panel takes.
type costColumn struct {
	Assessors                        int
	What                             string // of its number
	Portions, Spares, Sittings, Each int
	Minutes                          int
}

// costLine are the portions of one dish, one for each column.
type costLine struct {
	Dish     string
	Portions []int
}

// warningsAhead are about the wish itself and stand above the figure; the others
// say what the numbers rest on.
var warningsAhead = []string{analysis.WarnSeatsFew, analysis.WarnPanelSmall, analysis.WarnOutOfReach,
	analysis.WarnPanelNoReject,
	analysis.WarnDifferenceOpen, analysis.WarnBeyondScale}

// sized answers the question of size of the draft with what was typed.
func (b *builder) sized(earlier analysis.Spread) sizeAnswer {
	if a, ok := b.tooEarly(); ok {
		return a
	}
	q, err := b.sizing(earlier)
	var z *analysis.Size
	if err == nil {
		z, err = analysis.FindSize(q)
	}
	if err != nil {
		return b.cannotSize(err)
	}
	a := sizeAnswer{Told: b.toldSize(z), Counts: b.countsOf(z), Plans: b.plansOf(z), Curve: b.newSizeCurve(z),
		DetectHead: b.say(detectHead(z.Request))}
	for _, w := range z.Warnings {
		if w.Code == analysis.WarnPanelSmall && b.noticesChanges(z.Request) {
			continue // said as what a pilot is for
		}
		if slices.Contains(warningsAhead, w.Code) {
			a.Cautions = append(a.Cautions, site.Sentence(b.tell(w.Said)))
			continue
		}
		a.Rests = append(a.Rests, site.Sentence(b.tell(w.Said)))
	}
	if q.Spread.Source == analysis.SpreadEarlier {
		a.Rests = append(a.Rests, site.Sentence(b.say("the spread, %s points, comes %s", analysis.Points(q.Spread.SD),
			q.Spread.Words())))
	}
	for _, x := range z.Assumptions {
		a.Rests = append(a.Rests, site.Sentence(b.tell(x)))
	}
	for _, p := range z.Curve {
		a.Rows = append(a.Rows, sizeRow{p.Assessors, b.powerWords(z.Request, p), b.detectWords(z.Request, p)})
	}
	for _, x := range z.Beside {
		a.Beside = append(a.Beside, b.besideRowOf(z.Request, x))
	}
	for _, x := range z.Ahead {
		a.Near = append(a.Near, b.tell(x.Words(b.asked.AmountsIn, z.Request.Worth)))
	}
	a.Looking, a.Way = b.looking(z), b.wayOf(z)
	a.Early, a.Ways = b.earlyRows(z), b.newWaysFigure(z)
	if len(z.OtherWays) > 0 {
		a.AllWays = b.wayRows(z)
	}
	a.AtDistance = strconv.FormatFloat(z.AtDistance, 'f', 2, 64)
	a.Planned = z.Planned.Assessors
	a.cost(b.asked, z)
	a.Noticed = b.noticed(z)
	return a
}

// wayAnswer is how well the share of the way from blind to expected would be known.
type wayAnswer struct {
	Told, Within string
	Rows         [][]string
	Rests        string
}

func (b *builder) wayOf(z *analysis.Size) *wayAnswer {
	if z.Way == nil {
		return nil
	}
	a := &wayAnswer{Told: b.tell(z.Way.Words()), Within: analysis.Percent(analysis.WayWithin),
		Rests: b.tell(z.Way.Rests())}
	for _, r := range z.Way.Rows {
		var row []string
		for _, cell := range r.Cells() {
			row = append(row, b.tell(cell))
		}
		a.Rows = append(a.Rows, row)
	}
	return a
}

func (b *builder) besideRowOf(q analysis.Sizing, x analysis.SizeBeside) besideRow {
	r := besideRow{What: site.Sentence(b.tell(x.What)), Needed: b.say("none"), Planned: "–"}
	if x.Needed > 0 {
		r.Needed = strconv.Itoa(x.Needed)
	}
	if !math.IsNaN(x.Planned) {
		r.Planned = b.tell(q.PowerWords(x.Planned))
	}
	return r
}

// unsized reports whether there is no way to say how many people the question takes.
func (b *builder) unsized() bool {
	_, ok := analysis.SizedTest(b.asked.Question).Choice()
	return !ok && !b.asked.Question.CollectsRatings()
}

// tooEarly says what a draft has to say before it can be sized.
func (b *builder) tooEarly() (a sizeAnswer, ok bool) {
	at := func(name, missing string) (sizeAnswer, bool) {
		for _, x := range steps() {
			if x.name == name {
				return sizeAnswer{Missing: b.say(missing), Where: &StepLink{Href: b.Href(name),
					Title: b.say(x.title)}}, true
			}
		}
		return a, false
	}
	_, decides := b.asked.Attribute(b.asked.Plan.Attribute)
	switch {
	case b.asked.Question.Kind().Ascending:
		return b.risingAnswer(), true
	case b.unsized():
		return sizeAnswer{Missing: b.say("No number can be given here for this kind of test.")}, true
	case len(b.asked.Samples) < 2 && !b.asked.Question.Kind().OneDish:
		return at("names", "There are not two samples to compare yet.")
	case !decides && b.asked.Question.CollectsRatings():
		return at("analysis", "It is not chosen yet which attribute decides.")
	}
	return a, false
}

func (b *builder) cannotSize(err error) sizeAnswer {
	var refused *analysis.SizingError
	if errors.As(err, &refused) {
		return sizeAnswer{Missing: b.says(study.Problem{What: refused.What, Instead: refused.Instead}),
			wrongField: sizeFields[refused.Field]}
	}
	var conflict *design.Conflict
	if errors.As(err, &conflict) {
		return sizeAnswer{Missing: summary.Tell(b.tongue, conflict)}
	}
	return sizeAnswer{Missing: site.Sentence(err.Error())}
}

func (b *builder) toldSize(z *analysis.Size) string {
	q, n := z.Request, z.Needed
	switch {
	case n.Assessors == 0:
		return ""
	case z.Even != n.Assessors:
		return b.say("%d assessors are needed; %d complete the blocks of %d orders, so that every order is "+
			"served equally often.", n.Assessors, z.Even, q.Block)
	}
	return b.say("%d assessors are needed.", n.Assessors)
}

func (b *builder) countsOf(z *analysis.Size) []sizeCount {
	var list []sizeCount
	q := z.Request
	if n := z.Needed.Assessors; n > 0 {
		list = append(list, sizeCount{b.say("assessors needed for %s power", analysis.InPercent(q.Power)),
			strconv.Itoa(n)})
	}
	p := z.Planned
	if p.Assessors == 0 {
		return list
	}
	if !math.IsNaN(p.Power) {
		list = append(list, sizeCount{b.say("power of the %d planned", p.Assessors), b.tell(q.PowerWords(p.Power))})
	}
	what := b.say("points: the smallest difference that %d find with %s power", p.Assessors,
		analysis.InPercent(q.Power))
	if q.Test.ShowsSameness() {
		what = b.say("points: the smallest difference that %d can rule out with %s power", p.Assessors,
			analysis.InPercent(q.Power))
	}
	switch {
	case q.Alike:
		what = b.say("smallest share that %d can rule out with %s power", p.Assessors, analysis.InPercent(q.Power))
	case q.SizedByDistance():
		what = b.say("d′: the smallest distance that %d find with %s power", p.Assessors,
			analysis.InPercent(q.Power))
	case q.Test.IsChoice():
		what = b.say("smallest share that %d find with %s power", p.Assessors, analysis.InPercent(q.Power))
	}
	return append(list, sizeCount{what, b.detectWords(q, p)})
}

func (b *builder) powerWords(q analysis.Sizing, p analysis.PanelPower) string {
	if math.IsNaN(p.Power) {
		return "–"
	}
	return b.tell(q.PowerWords(p.Power))
}

func (b *builder) detectWords(q analysis.Sizing, p analysis.PanelPower) string {
	switch {
	case !q.Shows(p):
		return b.say("none")
	case q.Test.IsChoice() && !q.SizedByDistance():
		return b.tell(analysis.InPercentUp(p.Detects))
	}
	return analysis.Points(p.Detects)
}

func detectHead(q analysis.Sizing) string {
	switch {
	case q.Alike:
		return "Rules out shares from"
	case q.SizedByDistance():
		return "Finds d′ from"
	case q.Test.IsChoice():
		return "Finds shares from"
	}
	if q.Test.ShowsSameness() {
		return "Rules out from (points)"
	}
	return "Finds from (points)"
}

// plansOf are the panels that a button offers: the one that is needed, and all
// that the seats hold when that is fewer.
func (b *builder) plansOf(z *analysis.Size) []planButton {
	var list []planButton
	offer := func(n int, label string) {
		if n <= 0 || n == z.Request.Assessors {
			return
		}
		if more := moreSittings(b.asked, n); more > 0 {
			label = b.say("%s, over %d sittings", label, more)
		}
		list = append(list, planButton{n, label})
	}
	if z.Held.Assessors > 0 {
		offer(z.Held.Assessors, b.say("Plan for %d, as many as you have seats for", z.Held.Assessors))
	}
	n := z.Even
	if q := z.Request; q.Places > 0 && n > q.Places && z.Needed.Assessors <= q.Places {
		n = z.Needed.Assessors
	}
	offer(n, b.say("Plan for %d", n))
	return list
}

// cost fills what the panel planned and the one needed take.
func (a *sizeAnswer) cost(s *study.Study, z *analysis.Size) {
	var all []analysis.Cost
	for _, x := range []struct {
		what string
		n    int
	}{{"%d planned", z.Planned.Assessors}, {"%d needed", z.Needed.Assessors}} {
		if x.n == 0 || x.what == "%d needed" && x.n == z.Planned.Assessors {
			continue
		}
		c, err := analysis.CostOf(s, x.n)
		if err != nil {
			return
		}
		all = append(all, c)
		a.Costs = append(a.Costs, costColumn{Assessors: x.n, What: x.what, Portions: c.Portions, Spares: c.Spares,
			Sittings: c.Sittings,
			Each:     c.Plates, Minutes: c.Minutes})
	}
	if len(all) == 0 {
		return
	}
	for i, d := range s.Dishes {
		line := costLine{Dish: d.Title}
		if line.Dish = strings.TrimSpace(d.Title); line.Dish == "" {
			line.Dish = string(d.ID)
		}
		for _, c := range all {
			line.Portions = append(line.Portions, c.Dishes[i].Portions)
		}
		a.Dishes = append(a.Dishes, line)
	}
}
