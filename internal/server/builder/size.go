package builder

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// sizeStep is the page on which a panel is sized. The smallest difference, alpha and
// sides are the study's; spread, power and share are of no study file: they ride
// along in the address.
type sizeStep struct {
	building
	Answer sizeAnswer
	Typed  bool // the answer is of what was typed, which is not saved yet
}

var sizeScreen = site.DeskScreen[sizeStep]("builder/size")

// Fields of the size step that the study file does not hold, and the field of each
// part of a question of size.
const (
	fieldSpread = "spread"
	fieldPower  = "power"
	fieldShare  = "share"
	fieldApart  = "distance"
	fieldFrom   = "spread-from" // what stands in for a spread that nobody gave
)

// What may stand in for a spread.
const (
	fromEarlier = "earlier"
	fromRule    = "rule"
)

var (
	sizeKeeps  = []string{fieldSpread, fieldFrom, fieldPower, fieldShare, fieldApart}
	sizeFields = map[string]string{"difference": "analysis.smallest effect", "alpha": "analysis.alpha",
		"sides":  "analysis.sides",
		"spread": fieldSpread, "power": fieldPower, "share": fieldShare, "beta": "analysis.beta",
		"distance": fieldApart}
)

func sizeParts(b *builder) []part {
	look := part{ID: "looked-for", Heading: "What would you act on?", Lead: []string{
		"The smaller the difference that you want to be sure to find, the more people have to taste.",
	}}
	if b.asked.Question.Kind().Ascending {
		return []part{b.risingSize()}
	}
	if b.unsized() {
		return []part{{ID: "looked-for", Heading: "How many people?", Lead: []string{"How many people this kind of " +
			"test takes is not worked out here. Ask your partner, or take as many as the evening holds and call it a " +
			"first look."}}}
	}
	if c, ok := analysis.SizedTest(b.asked.Question).Choice(); ok {
		share := b.queryNumber(fieldShare, c.Label, c.Hint, "%", "")
		if c.NoShare {
			share = b.queryNumber(fieldApart, c.Label, c.Hint, "", "")
		}
		if b.asked.Question.Kind().StatesShare() { // it belongs to the study
			share = b.number(sizeFields["difference"], c.Label, c.Hint, "")
		}
		look.Fields = append(look.Fields, share)
	} else {
		look.Fields = append(look.Fields,
			b.number("analysis.smallest effect", b.smallestLabel(), b.scaleWords(), ""),
			b.queryNumber(fieldSpread, "Spread", "", "points", ""))
		if b.earlier.SD > 0 {
			look.Fields = append(look.Fields, b.borrowed())
		}
	}
	power := "The chance of finding that difference when it is there. 80 is usual, 90 is careful."
	if b.asked.Plan.Test == study.Equivalence {
		power = "The chance of showing that the two are practically the same, when there is no difference at all. " +
			"80 is usual, 90 is careful."
	}
	if b.asked.Question.Kind().Tells && b.asked.Plan.Test == study.Equivalence {
		power = "The chance of showing that so few tell them apart, when in truth nobody does. 80 is usual, 90 is " +
			"careful."
	}
	look.Fields = append(look.Fields, b.queryNumber(fieldPower, "Power",
		power, "%", site.Number(100*analysis.DefaultPower)))
	how := part{ID: "sure", Heading: "How sure?", Fields: []buildField{
		b.alphaField(),
	}}
	if b.asked.Question.Kind().Tells && b.asked.Plan.Test == study.Equivalence {
		how.Fields = append(how.Fields, b.betaField())
	} else if b.asked.Plan.Test != study.Equivalence && b.hasSides() { // which has no sides
		how.Fields = append(how.Fields, b.sidesField(pick))
	}
	return []part{look, how}
}

// queryNumber is a field of a number that belongs to no study file.
func (b *builder) queryNumber(name, label, hint, unit, usual string) buildField {
	f := buildField{Name: name, ID: fieldID(name), Label: label, Hint: hint, Kind: oneLine, Decimal: "decimal",
		Unit: unit, Value: usual}
	if v := b.query.Get(name); v != "" {
		f.Value = v
	}
	f.writeTo = func(*builder, []string) error { return nil }
	return f
}

// scaleWords says what a point is a point of.
func (b *builder) scaleWords() string {
	a, ok := b.asked.WorthOn()
	if !ok || a.Scale.Kind == "" {
		return "In points of the scale of the attribute that decides."
	}
	return b.say("In points of the scale of “%s”, which goes from %s to %s. Smaller ones would change "+
		"nothing in your kitchen.", a.Ask, site.Number(a.Scale.Min()), site.Number(a.Scale.Max()))
}

// planFor writes how many assessors the panel has, and as many sittings as they
// need on the seats there are.
func planFor(b *builder, n string) (string, error) {
	v, err := strconv.Atoi(n)
	if err != nil || v < 1 {
		return "", errors.New("that is no number of assessors")
	}
	if more := moreSittings(b.asked, v); more > 0 {
		if err := b.text.Set("panel.sittings", strconv.Itoa(more)); err != nil {
			return "", err
		}
	}
	return "answer", b.text.Set("panel.assessors", n)
}

// moreSittings is how many sittings a panel of n needs when those planned are too
// few for it, else 0.
func moreSittings(s *study.Study, n int) int {
	c, err := analysis.CostOf(s, n)
	if err != nil || c.Sittings <= s.Panel.Sittings {
		return 0
	}
	return c.Sittings
}

func showSize(s *handlers, c *gin.Context, status int, b *builder) error {
	if b.sent == nil && b.query.Get("do") == "work" {
		b.sent = b.query
	}
	earlier, err := s.Panel.EarlierSpread(c.Request.Context(), site.SessionOf(c), b.asked)
	if err != nil {
		return err
	}
	b.earlier = earlier
	page := sizeStep{building: s.building(c, b), Typed: b.sent != nil}
	page.Answer = b.sized(earlier)
	for i := range page.Parts {
		for j := range page.Parts[i].Fields {
			f := &page.Parts[i].Fields[j]
			if f.Name == fieldSpread {
				f.Hint = b.spreadHint(earlier)
			}
			if f.Name == page.Answer.wrongField {
				f.Wrong = append(f.Wrong, page.Answer.Missing)
			}
		}
	}
	return site.Show(s.Site, c, status, sizeScreen, page)
}

// sizeAnswer answers the script of the size step with the answer alone.
func (s *handlers) sizeAnswer(c *gin.Context) error {
	b, err := s.builder(c, "size")
	if errors.Is(err, errDraftGone) {
		return site.SeeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	b.sent = b.query
	earlier, err := s.Panel.EarlierSpread(c.Request.Context(), site.SessionOf(c), b.asked)
	if err != nil {
		return err
	}
	part, err := s.Part(sizeScreen.Name, site.TongueOf(c).Tag(), "size answer", b.sized(earlier))
	if err != nil {
		return err
	}
	site.WritePage(c, http.StatusOK, "text/html; charset=utf-8", part)
	return nil
}

// borrowed is the choice between what earlier studies found and the rule of thumb, for
// a spread that nobody gives.
func (b *builder) borrowed() buildField {
	q, _ := analysis.SizingOf(b.asked)
	f := b.queryNumber(fieldFrom, "If you leave the spread empty", "", "", fromEarlier)
	f.Kind, f.Decimal = choice, ""
	f.Options = []option{
		{Value: fromEarlier, Label: "What was found here",
			Hint: b.say("%s points, %s", analysis.Points(b.earlier.SD), b.earlier.Words())},
		{Value: fromRule, Label: "The rule of thumb", Hint: b.say("%s points", analysis.Points(q.Spread.SD))},
	}
	return f
}

// spreadHint says what spread is and what stands in while the field is empty.
func (b *builder) spreadHint(earlier analysis.Spread) string {
	what := "How far one person’s two ratings differ by chance: the standard deviation of the differences."
	q, err := analysis.SizingOf(b.asked)
	if err != nil {
		return b.say(what)
	}
	if b.asked.Serving.Design == study.One || b.asked.Question.Kind().OneDish {
		what = "How far the ratings of different people lie apart: their standard deviation."
	}
	if earlier.SD > 0 {
		return b.say(what) + " " + b.say("Empty: as chosen below.")
	}
	return b.say(what) + " " + b.say("Empty: %s, %s.", analysis.Points(q.Spread.SD), q.Spread.Words())
}

// sizing is the study's question of size with what was typed.
func (b *builder) sizing(earlier analysis.Spread) (analysis.Sizing, error) {
	q, err := analysis.SizingOf(b.asked)
	if err != nil {
		return q, err
	}
	q.Spread, q.Known = b.spread(q, earlier), earlier
	for _, x := range b.sizeWishes(&q) {
		typed, ok := b.typed(sizeFields[x.field])
		if !ok {
			continue
		}
		if typed == "" {
			if x.mayBeOpen {
				*x.to = 0
			}
			continue
		}
		v, err := readNumber(typed)
		if err != nil || !(v > 0) {
			return q, &analysis.SizingError{Field: x.field,
				What: study.Say("“%s” is no number above 0",
					site.Short(typed)), Instead: study.Say("write one such as 5 or 0.5")}
		}
		*x.to = v / x.unit
		if x.field == "spread" {
			q.Spread = analysis.GivenSpread(v)
		}
	}
	if sides, ok := b.typed(sizeFields["sides"]); ok &&
		slices.Contains(b.asked.Question.Kind().Sides, study.Sides(sides)) {
		q.Sides = study.Sides(sides)
	}
	return q, nil
}

// sizeWish is a number that may be typed, and where it goes.
type sizeWish struct {
	field     string
	unit      float64
	to        *float64
	mayBeOpen bool
}

// sizeWishes are the numbers that the question of size takes: a difference in points and
// a spread, or a share of the assessors or, where the study states it, of the answers.
func (b *builder) sizeWishes(q *analysis.Sizing) []sizeWish {
	wishes := []sizeWish{{"alpha", 1, &q.Alpha, false}, {"power", 100, &q.Power, false}}
	switch {
	case b.asked.Question.Kind().StatesShare():
		return append(wishes, sizeWish{"difference", 1, &q.Share, true}, sizeWish{"beta", 1, &q.Beta, false})
	case q.SizedByDistance():
		return append(wishes, sizeWish{"distance", 1, &q.Distance, true})
	case q.Test.IsChoice():
		return append(wishes, sizeWish{"share", 100, &q.Share, true})
	}
	unit := 1.0
	if q.Test == analysis.ShiftTest && q.Worth > 0 { // typed for each unit more
		unit = 1 / q.Worth
	}
	return append(wishes, sizeWish{"difference", unit, &q.Difference, true}, sizeWish{"spread", 1, &q.Spread.SD, false})
}

// spread is what stands in for a spread that nobody gave.
func (b *builder) spread(q analysis.Sizing, earlier analysis.Spread) analysis.Spread {
	if from, _ := b.typed(fieldFrom); earlier.SD > 0 && from != fromRule {
		return earlier
	}
	return q.Spread
}

// typed is what stands in a field of the size step; not ok when it is what the
// study says.
func (b *builder) typed(name string) (string, bool) {
	from := b.sent
	if from == nil && slices.Contains(sizeKeeps, name) {
		from = b.query
	}
	sent, ok := from[name]
	if !ok {
		return "", false
	}
	return strings.TrimSpace(sent[0]), true
}

// readNumber reads a number as people write it: with a comma or a point.
func readNumber(s string) (float64, error) {
	return study.ParseNumber(strings.TrimSpace(strings.TrimSuffix(strings.ReplaceAll(s, ",", "."), "%")))
}
