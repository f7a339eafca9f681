package builder

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// dishStep is the page of the dishes.
type dishStep struct {
	building
	Cautions []summary.Caution
	Photos   []dishPhoto
}

var dishScreen = site.DeskScreen[dishStep]("builder/dishes")

func showDishes(s *handlers, c *gin.Context, status int, b *builder) error {
	page := dishStep{building: s.building(c, b)}
	if len(b.asked.Dishes) > 0 {
		page.Cautions = summary.Cautions(b.tongue, b.readable())
	}
	var err error
	if page.Photos, err = s.photosOf(c, b); err != nil {
		return err
	}
	for i := range page.Photos {
		if p := &page.Photos[i]; p.Dish == b.photo.Path {
			p.Problem = b.photo.Text
		}
	}
	return site.Show(s.Site, c, status, dishScreen, page)
}

// readable is the study without the temperatures that could not be read: nobody
// shall take them for 0 °C. What its dishes contain stays.
func (b *builder) readable() *study.Study {
	a := *b.asked
	a.Dishes = nil
	for i, d := range b.asked.Dishes {
		if b.text.Value(fmt.Sprintf("dishes[%d].serve at", i)) == "" ||
			slices.ContainsFunc(b.Problems, func(x study.Problem) bool {
				return x.Path == fmt.Sprintf("dishes[%d].serve at", i)
			}) {
			d.ServeAt = math.NaN()
		}
		a.Dishes = append(a.Dishes, d)
	}
	return &a
}

func dishParts(b *builder) []part {
	var parts []part
	n := b.text.Len("dishes")
	for i := range n {
		path := fmt.Sprintf("dishes[%d]", i)
		title := cmp.Or(strings.TrimSpace(b.text.Value(path+".title")), b.say("Dish %d", i+1))
		item := part{
			ID: fieldID(path), Heading: title, Typed: true, Kind: "item",
			Fields: []buildField{
				b.line(path+".title", "What the kitchen calls it",
					"Kitchen and lead read it, never the assessor. Say what sets it apart from the other dishes."),
				b.line(path+".portion", "Portion", "As it is plated, as in 60 g or 2 spoonfuls. The same for every "+
					"dish that is compared."),
				b.measure(path+".serve at", "Served at",
					"The same for all: warmth changes taste. Mind the limits below.", "°C", ""),
				b.allergens(path + ".allergens"),
				b.alsoContains(path + ".also contains"),
				b.tick(path+".alcohol", "Contains alcohol",
					"Assessors are told before they agree. Ages and limits are for your local law."),
			},
			Acts: itemActs(path, i, n, title),
		}
		if b.asksAmounts() {
			item.Fields = slices.Insert(item.Fields, 1, b.amountField(path))
		}
		parts = append(parts, item)
	}
	if b.asksAmounts() {
		parts = append([]part{b.amountsPart()}, parts...)
	}
	label := "Another dish"
	if n == 0 {
		label = "The first dish"
	}
	return append(parts, part{
		ID: "dishes", Heading: "Add a dish", Kind: "adder",
		Lead: []string{"One dish is enough when only its name changes. When a recipe or a rule is the question, " +
			"each version is a dish."},
		Fields: []buildField{adder("dishes", label, "What the kitchen calls it, as in Warm celeriac custard.",
			addDish)},
		Acts: []buildAct{{"add dishes", "Add it", ""}},
	})
}

// none is the box for a dish that holds none of the 14.
const none = "none of the 14"

// allergens are the boxes of the 14 groups, with what the law of the USA makes of
// each.
func (b *builder) allergens(path string) buildField {
	var options []option
	for _, a := range study.Allergens {
		us, _ := a.ID.US()
		options = append(options, option{Value: string(a.ID), Label: a.ID.TextIn(b.tongue.Tag()), Hint: us})
	}
	f := b.boxes(path, "Allergens", "The 14 of European and UK law. Below each, what the law of the USA makes of "+
		"it. Check the labels of everything that goes in.", options...)
	f.Options = append(f.Options, option{Value: none, Label: "None of the 14"})
	if b.text.Has(path) && len(f.Values) == 0 {
		f.Values = []string{none}
	}
	f.writeTo = func(b *builder, sent []string) error {
		switch {
		case !slices.Contains(sent, none):
			return b.text.SetList(path, sent)
		case len(sent) > 1: // whichever is the slip, guessing could hide an allergen
			return errors.New("“None of the 14” is ticked, and so is one of them: untick the one that is wrong")
		}
		return b.text.SetList(path, []string{})
	}
	return f
}

// alsoContains is the list of what else a dish contains. Words that no dish contains
// any more lose their translations.
func (b *builder) alsoContains(path string) buildField {
	f := b.list(path, "Also contains", "What else people may have to avoid, one a line, as in nutmeg. Name which "+
		"nut and which cereal.")
	f.writeTo = func(b *builder, sent []string) error {
		before := b.text.List(path)
		if err := b.text.SetList(path, sent); err != nil {
			return err
		}
		return b.dropContained(before)
	}
	return f
}

// dropContained takes the words that no dish contains any more out of every
// translation.
func (b *builder) dropContained(words []string) error {
	var left []string
	for i := range b.text.Len("dishes") {
		left = append(left, b.text.List(fmt.Sprintf("dishes[%d].also contains", i))...)
	}
	for _, word := range words {
		if slices.Contains(left, word) {
			continue
		}
		if err := b.removeWords("also contains", word); err != nil {
			return err
		}
	}
	return nil
}

// addDish appends a dish. In a study of names it is served under each of them, in
// any other it is served blind.
func addDish(b *builder, title string) error {
	path, err := b.add("dishes", title, "title", title)
	if err != nil {
		return err
	}
	id := b.text.Value(path + ".id")
	if !b.asked.Question.Kind().NamesMatter {
		return b.addSample(id, "")
	}
	for i := range b.text.Len("names") {
		if err := b.addSample(id, b.text.Value(fmt.Sprintf("names[%d].id", i))); err != nil {
			return err
		}
	}
	return nil
}
