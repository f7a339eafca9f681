package builder

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/study"
)

// proposed are the amounts that the builder proposes, as parts of that of the usual recipe:
// about 30 % around it (common practice, no source).
var proposed = []float64{0.7, 0.85, 1, 1.15, 1.3}

// fieldRecipe is the field of how much the usual recipe has; it is of no study file.
const fieldRecipe = "recipe"

// proposes reports whether amounts can be proposed: the dishes are not there yet, or one is.
func (b *builder) proposes() bool {
	k := b.asked.Question.Kind()
	return k.Amounts && !k.Ascending && b.text.Len("dishes") <= 1
}

// propose adds to the part of the amounts how to have them written.
func (b *builder) propose(p part) part {
	if !b.proposes() {
		return p
	}
	f := b.queryNumber(fieldRecipe, "The usual recipe has",
		"Counted as above. Five dishes are then written, with 30 % less to 30 % more of it, all else as in the first "+
			"dish: change what your kitchen would not cook.", "", "")
	p.Fields = append(p.Fields, f)
	p.Lead = append(p.Lead, study.KeepsSafe)
	p.Acts = append(p.Acts, buildAct{"propose amounts", "Write five dishes", ""})
	return p
}

// proposeAmounts writes five dishes around the usual recipe, each with all that the first has.
func proposeAmounts(b *builder, _ string) (string, error) {
	if !b.proposes() {
		return "", errors.New("there are several dishes already: write the amount of each below")
	}
	usual, err := readNumber(b.sent.Get(fieldRecipe))
	if err != nil || !(usual > 0) {
		return "", errors.New("write how much the usual recipe has, as a number above 0")
	}
	const first = "dishes[0]"
	if b.text.Len("dishes") == 0 {
		if err := addDish(b, "The dish"); err != nil {
			return "", err
		}
	}
	unit, _, _ := strings.Cut(b.text.Value("amounts in"), " ") // as it was just typed
	title := strings.TrimSpace(b.text.Value(first + ".title"))
	for i, part := range proposed {
		path, amount := fmt.Sprintf("dishes[%d]", i), strconv.FormatFloat(threeDigits(usual*part), 'f', -1, 64)
		called := strings.TrimPrefix(title+", "+strings.TrimSpace(amount+" "+unit), ", ")
		if i > 0 {
			if err := addDish(b, called); err != nil {
				return "", err
			}
			if err := b.copyDish(first, path); err != nil {
				return "", err
			}
		}
		if err := errors.Join(b.text.Set(path+".title", called),
			b.text.Set(path+".amount", amount)); err != nil {
			return "", err
		}
	}
	return first, nil
}

// copyDish gives a new dish what another has beside its title and amount.
func (b *builder) copyDish(from, to string) error {
	for _, key := range []string{"portion", "serve at", "alcohol"} {
		if !b.text.Has(from + "." + key) {
			continue
		}
		if err := b.text.Set(to+"."+key, b.text.Value(from+"."+key)); err != nil {
			return err
		}
	}
	for _, key := range []string{"allergens", "also contains"} {
		if !b.text.Has(from + "." + key) {
			continue
		}
		if err := b.text.SetList(to+"."+key, slices.Clone(b.text.List(from+"."+key))); err != nil {
			return err
		}
	}
	return nil
}

// threeDigits rounds an amount to what a scale in a kitchen shows.
func threeDigits(v float64) float64 {
	at := math.Pow(10, 2-math.Floor(math.Log10(v)))
	return math.Round(v*at) / at
}
