package study

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// AmountUnit is in what the amounts of a study are counted: "g of salt per litre".
type AmountUnit struct {
	Unit string // "g", "ml", "drops"
	Of   string // "salt"
	Per  string // one of [AmountPer]
}

// KeepsSafe is said wherever an amount is named that somebody may cook by (common
// practice, no source).
const KeepsSafe = "Salt, sugar, alcohol and acid can be what keeps a cured, pickled, preserved or held dish safe: " +
	"before you change them there, ask whoever answers for food safety, and mind your local code."

// AmountPer are what an amount may be counted for.
var AmountPer = []string{"litre", "kilogram", "serving"}

var amountUnit = regexp.MustCompile(`^(\pL{1,12}) of (\pL[^\n]*\S|\pL) per (\pL+)$`)

// parseAmountUnit reads "g of salt per litre".
func parseAmountUnit(text string) (u AmountUnit, ok bool) {
	m := amountUnit.FindStringSubmatch(strings.Join(strings.Fields(text), " "))
	if m == nil || !slices.Contains(AmountPer, m[3]) {
		return AmountUnit{}, false
	}
	return AmountUnit{Unit: m[1], Of: m[2], Per: m[3]}, true
}

// String is the unit as a study file has it; "" where there is none.
func (u AmountUnit) String() string {
	if u == (AmountUnit{}) {
		return ""
	}
	return fmt.Sprintf("%s of %s per %s", u.Unit, u.Of, u.Per)
}

// Short is an amount where it is clear of what: "6 g".
func (u AmountUnit) Short(v float64) string { return shortest(v) + " " + u.Unit }

// Words is an amount in full: "6 g of salt per litre".
func (u AmountUnit) Words(v float64) string { return shortest(v) + " " + u.String() }

// one are the words of one of a unit.
var one = map[string]string{"g": "gram", "mg": "milligram", "kg": "kilogram", "ml": "millilitre", "cl": "centilitre",
	"dl": "decilitre", "l": "litre", "drops": "drop", "pinches": "pinch", "spoons": "spoon", "spoonfuls": "spoonful"}

// One is one of the unit: "gram of salt per litre".
func (u AmountUnit) One() string {
	unit, ok := one[u.Unit]
	if !ok {
		unit = u.Unit
	}
	return fmt.Sprintf("%s of %s per %s", unit, u.Of, u.Per)
}

// Amount is how much of what is asked about is in the dish of a sample.
func (s *Study) Amount(id SampleID) float64 {
	x, _ := s.Sample(id)
	d, _ := s.Dish(x.Dish)
	return d.Amount
}

// Series are the samples of a study of amounts that differ in the amount alone: those
// that are served as the first of the study is, blind or under one plain name. Laid are
// the others: a dish of the series under another name.
func (s *Study) Series() (series, laid []Sample) {
	for _, x := range s.Samples {
		if x.Name == s.Samples[0].Name {
			series = append(series, x)
		} else {
			laid = append(laid, x)
		}
	}
	return series, laid
}

// amountUnitOf reads in what amounts are counted.
func (o object) amountUnitOf() AmountUnit {
	text := o.text("amounts in", maxLine)
	u, ok := parseAmountUnit(text)
	if !ok && text != "" {
		o.reject("amounts in", Say("%s does not say of what an amount is, and in how much", quoted(text)),
			Say("write it as in g of salt per litre; the end is per litre, per kilogram or per "+
				"serving"))
	}
	return u
}

// amount reads how much is in a dish.
func (o object) amount() float64 {
	return o.number("amount", 0, Say("a number, 0 or above, as in amount: 6"), func(v float64) bool { return v >= 0 })
}

// amountsFit checks the amounts of a study: none where the question has none; one in
// each dish, in an order that can be seen, where it has.
func (r *reader) amountsFit(s *Study) {
	if !r.sound("question") {
		return
	}
	if !s.Question.Kind().Amounts {
		r.strayAmounts(s)
		return
	}
	if !r.written("amounts in") {
		r.reject("amounts in", Say("the amounts have no unit"),
			Say("write amounts in: and what is counted, as in g of salt per litre"))
	}
	whole := r.sound("dishes", "samples") && !r.anyBad("samples", "dish") && !r.anyBad("samples", "name")
	for i, d := range s.Dishes {
		path := fmt.Sprintf("dishes[%d].amount", i)
		if d.ID != "" && !r.written(path) && r.sound(path) {
			r.reject(path, Say("dish %s has no amount", quoted(string(d.ID))),
				Say("write amount: and how much is in it, as in amount: 6"))
		}
		whole = whole && r.written(path) && r.sound(path)
	}
	switch {
	case !whole || len(s.Samples) == 0:
	case s.Question.Kind().Ascending:
		r.risingFits(s)
	default:
		r.seriesFits(s)
	}
}

func (r *reader) strayAmounts(s *Study) {
	instead := Say("leave the line out, or ask a question of amounts")
	if path := "amounts in"; r.written(path) && r.sound(path) {
		r.reject(path, Say("a %s study compares no amounts", s.Question), instead)
	}
	for i := range s.Dishes {
		if path := fmt.Sprintf("dishes[%d].amount", i); r.written(path) && r.sound(path) {
			r.reject(path, Say("a %s study compares no amounts", s.Question), instead)
		}
	}
}

// Fewer than three amounts cannot bend, so that nobody would know whether a line holds;
// more than eight servings of one thing are more than a palate keeps apart (common
// practice, no source).
const (
	fewestAmounts = 3
	mostAmounts   = 8
)

// seriesFits checks that the amounts are enough, rise, and hold those of the dishes that
// are laid on them.
func (r *reader) seriesFits(s *Study) {
	series, laid := s.Series()
	if !r.amountsRise(s, series, Say("write another amount, or use \"replicates\" to serve one twice")) {
		return
	}
	if n := len(series); n < fewestAmounts || n > mostAmounts {
		r.reject("samples", Say("a study of amounts takes %s to %s of them; here are %s, served %s",
			Say(inWords(fewestAmounts)), Say(inWords(mostAmounts)), Say(inWords(n)), Say(s.servedAs(series[0]))),
			Say("write four to six, from clearly too little to clearly too much"))
		return
	}
	least, most := s.Amount(series[0].ID), s.Amount(series[len(series)-1].ID)
	for _, x := range laid {
		if v := s.Amount(x.ID); v < least || v > most {
			r.reject(r.amountAt(s, x),
				Say("sample %s lies outside the series: %s, which runs from %s to %s", x.ID, s.AmountsIn.Short(v),
					s.AmountsIn.Short(least), s.AmountsIn.Short(most)),
				Say("write an amount within the series, best in its middle, or widen the series"))
		}
	}
}

// amountAt is where the amount of a sample stands.
func (r *reader) amountAt(s *Study, x Sample) string {
	return fmt.Sprintf("dishes[%d].amount", slices.IndexFunc(s.Dishes, func(d Dish) bool { return d.ID == x.Dish }))
}

// amountsRise refuses the first sample that has no more than the one before it.
func (r *reader) amountsRise(s *Study, series []Sample, instead Said) bool {
	for i := 1; i < len(series); i++ {
		before, x := s.Amount(series[i-1].ID), s.Amount(series[i].ID)
		switch {
		case x == before:
			r.reject(r.amountAt(s, series[i]),
				Say("samples %s and %s have the same amount, %s", series[i-1].ID, series[i].ID, s.AmountsIn.Short(x)),
				instead)
			return false
		case x < before:
			r.reject(r.amountAt(s, series[i]),
				Say("sample %s has less than the one before it: %s after %s", series[i].ID, s.AmountsIn.Short(x),
					s.AmountsIn.Short(before)),
				Say("write the samples from the least amount to the most"))
			return false
		}
	}
	return true
}

func (s *Study) servedAs(x Sample) string {
	if x.Name == "" {
		return "blind"
	}
	return "under the name of the first"
}

// wantedRating reads the rating whose amount is sought.
func (o object) wantedRating() *float64 {
	if !o.reader.written(o.sub("wanted rating")) {
		return nil
	}
	v := o.number("wanted rating", 0, Say("a number of the scale"), func(float64) bool { return true })
	return &v
}
