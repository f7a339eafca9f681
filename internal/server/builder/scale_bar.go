package builder

import (
	"cloche/internal/analysis"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// scaleBar is a change drawn on the scale on which people answer, to its length: two marks
// so far apart. Of choices it is the share of them that goes to one dish. All places are
// in units of the figure.
type scaleBar struct {
	Words         string // the change
	Low, High     string // the ends of the scale
	Width, Height int
	Left, Right   float64
	From, To      float64
	Steps         []float64 // of a scale of labels; the half, of choices
	Choices       bool
}

const (
	barWidth, barHeight = 300, 30
	barLeft, barRight   = 8, 292
)

// ratedBar draws a difference in points on the scale of an attribute; nil when it does not
// fit on it.
func (b *builder) ratedBar(s study.Scale, points float64) *scaleBar {
	length := s.Max() - s.Min()
	if !(points > 0) || !(length > 0) || points > length {
		return nil
	}
	half := (barRight - barLeft) * points / length / 2
	middle := float64(barLeft+barRight) / 2
	bar := &scaleBar{Words: b.pointWords(points, length), Low: s.Low, High: s.High, Width: barWidth, Height: barHeight,
		Left: barLeft, Right: barRight, From: unit(middle - half), To: unit(middle + half)}
	if n := len(s.Labels); n > 1 {
		bar.Low, bar.High = s.Labels[0], s.Labels[n-1]
		for i := range n {
			bar.Steps = append(bar.Steps, unit(barLeft+(barRight-barLeft)*float64(i)/float64(n-1)))
		}
	}
	return bar
}

// pointWords say a difference in points of a scale.
func (b *builder) pointWords(points, length float64) string {
	return b.say("%s points of %s", analysis.Points(points), site.Number(length))
}

// chosenBar draws the share of the choices that goes to the dish liked better.
func (b *builder) chosenBar(share float64) *scaleBar {
	if !(share > 0) || share > 1 {
		return nil
	}
	at := func(p float64) float64 { return unit(barLeft + (barRight-barLeft)*p) }
	return &scaleBar{Words: b.shareWords(share), Low: b.say("nobody"), High: b.say("everybody"), Width: barWidth,
		Height: barHeight, Left: barLeft, Right: barRight, From: at(0), To: at(share), Steps: []float64{at(0.5)},
		Choices: true}
}

// shareWords say a share of the choices: never fewer than it takes.
func (b *builder) shareWords(share float64) string {
	n, more := analysis.OfHundred(share)
	if more {
		return b.say("more than 99 of 100 choose the same one")
	}
	return b.say("%d of 100 choose the same one", n)
}

// bar draws what a question of size is about on the study's own scale.
func (b *builder) bar(of float64) *scaleBar {
	if !b.rates() {
		return b.chosenBar(of)
	}
	a, ok := b.asked.WorthOn()
	if !ok {
		return nil
	}
	return b.ratedBar(a.Scale, of)
}

// changesOffered are the smallest changes that quick start offers: a twentieth to a fifth of
// the scale, or shares of the choices above the half that chance gives.
func (b *builder) changesOffered() []float64 {
	if !b.rates() {
		return []float64{0.6, 0.65, 0.7, 0.8}
	}
	a, ok := b.asked.WorthOn()
	if !ok {
		return nil
	}
	length := a.Scale.Max() - a.Scale.Min()
	if len(a.Scale.Labels) > 0 {
		return []float64{0.5, 1, 1.5, 2}
	}
	return []float64{0.05 * length, 0.1 * length, 0.15 * length, 0.2 * length}
}

// shortly is a change in a list of several.
func (b *builder) shortly(v float64) string {
	if b.rates() {
		return b.say("%s points", analysis.Points(v))
	}
	n, more := analysis.OfHundred(v)
	if more {
		return b.say("more than 99 of 100")
	}
	return b.say("%d of 100", n)
}

// asksChange reports whether the size of a change is asked for: where people rate, or choose
// the dish that they like better.
func (b *builder) asksChange() bool { return b.rates() || b.choosesLiked() }

// sizes reports whether it can be said how many people a change takes.
func (b *builder) sizes() bool { return !b.unsized() && len(b.changesOffered()) > 0 }

// quickChange asks for the smallest change worth acting on; each answer says how many
// people it takes.
func quickChange(b *builder) []part {
	f := b.line("analysis.smallest effect", "I would act on a change of", "")
	f.Kind, f.Unseen = choice, true
	for _, v := range b.changesOffered() {
		o := option{Value: site.Number(v), Bar: b.bar(v)}
		o.Label = b.shortly(v)
		if n := b.takes(v); n > 0 {
			o.Label = b.say("%s: %d guests", o.Label, n)
		}
		f.Options = append(f.Options, o)
	}
	if b.rates() {
		f.Options = append(f.Options, option{Value: "", Label: "I can’t say yet"})
	}
	f.Options = b.withOther(f)
	return one(f)
}

// withOther are the options of a field with what the file says beside them.
func (b *builder) withOther(f buildField) []option {
	for _, o := range f.Options {
		if o.Value == f.Value {
			return f.Options
		}
	}
	o := option{Value: f.Value, Label: f.Value, Typed: true}
	if v, err := study.ParseNumber(f.Value); err == nil {
		o.Bar = b.bar(v)
	}
	return append(f.Options, o)
}

// sizingFor is the question of size of the study for another change.
func (b *builder) sizingFor(change float64) (analysis.Sizing, error) {
	q, err := analysis.SizingOf(b.asked)
	if err != nil {
		return q, err
	}
	if !b.rates() {
		q.Share = change
		return q, nil
	}
	q.Spread, q.Difference = b.spread(q, b.earlier), change
	return q, nil
}

// takes is how many people a change takes; 0 when it cannot be said, or no panel finds it.
func (b *builder) takes(change float64) int {
	q, err := b.sizingFor(change)
	if err != nil {
		return 0
	}
	n, err := q.Takes()
	if err != nil {
		return 0
	}
	return n
}

// notes are what panels of some sizes would notice.
type notes struct {
	Rows  []noteRow
	Pilot string // what a panel too small for the change is for; "" when it is large enough
	Means string // what noticing means
	Low   string
	High  string
	Lang  string // of the ends, where it is another than the page's
}

// noteRow is one panel.
type noteRow struct {
	Guests  int
	Short   string // the change in a list of several
	Planned bool
	Bar     *scaleBar // nil when such a panel can find nothing
}

// panelsShown are the panels beside the one planned.
var panelsShown = []int{12, 24, 48}

// noticesOf says what the panel planned and some others would notice; nil when that cannot
// be reckoned.
func (b *builder) noticesOf(sizes ...int) *notes {
	q, err := b.sizingFor(b.asked.Plan.SmallestEffect)
	if err != nil {
		return nil
	}
	panels, err := q.Notices(sizes...)
	if err != nil {
		return nil
	}
	return b.notesOf(q, panels)
}

func (b *builder) notesOf(q analysis.Sizing, panels []analysis.PanelPower) *notes {
	power := q.Power
	if power == 0 {
		power = analysis.DefaultPower
	}
	n := &notes{Pilot: b.pilotOf(q), Means: b.say("A change this big is found in %s of such studies.",
		analysis.InPercent(power))}
	for _, p := range panels {
		row := noteRow{Guests: p.Assessors, Planned: p.Assessors == q.Assessors, Bar: b.bar(p.Detects)}
		if row.Bar != nil {
			row.Short = b.shortly(p.Detects)
			n.Low, n.High, n.Lang = row.Bar.Low, row.Bar.High, b.langOfText(row.Bar.Low)
		}
		n.Rows = append(n.Rows, row)
	}
	return n
}

// pilotOf says what a panel is for that is smaller than the change of the plan takes; "" when
// it is large enough, or no change is stated.
func (b *builder) pilotOf(q analysis.Sizing) string {
	need, err := q.Takes()
	stated := q.Difference > 0 || q.Share > 0
	if err != nil || !stated || q.Assessors == 0 || need > 0 && need <= q.Assessors {
		return ""
	}
	pilot := b.say("With %d this is a pilot: the change that you would act on takes %d guests.", q.Assessors, need)
	if need == 0 {
		pilot = b.say("With %d this is a pilot: no panel finds the change that you would act on.", q.Assessors)
	}
	return pilot + " " + b.say("It tries out dish, service and questions; if it finds nothing, that proves nothing.")
}

// noticed is what the panel planned would notice, for the step Size; nil where the study
// looks for likeness, for a slope or for a distance, which are no change on the scale.
func (b *builder) noticed(z *analysis.Size) *notes {
	if !b.noticesChanges(z.Request) || z.Planned.Assessors == 0 {
		return nil
	}
	return b.notesOf(z.Request, []analysis.PanelPower{z.Planned})
}

func (b *builder) noticesChanges(q analysis.Sizing) bool {
	if b.rates() {
		return !q.Test.ShowsSameness() && !q.Test.OfAmounts()
	}
	return b.choosesLiked()
}
