package builder

import (
	"fmt"
	"slices"

	"cloche/internal/server/site"
	"cloche/internal/study"
)

// screeningAt is where the questions before the first plate stand in a study file.
const screeningAt = "panel.screening"

func screenPath(i int) string { return fmt.Sprintf("%s[%d]", screeningAt, i) }

// screeningParts: who tastes and is not counted.
func (b *builder) screeningParts() []part {
	var options []option
	var own []part
	for _, x := range study.StockScreens {
		options = append(options, option{Value: x.ID, Label: x.In(b.own()).Ask, Typed: true,
			Lang: site.OtherThan(b.tongue.Tag(), b.own()),
			Hint: b.say("whoever says %s is not counted", b.say(string(x.LeavesOut)))})
	}
	stock := b.boxes(screeningAt, "Questions that the program has, in every language", "", options...)
	stock.Values, stock.Options = nil, options
	for i := range b.text.Len(screeningAt) {
		if b.isStockScreen(i) {
			stock.Values = append(stock.Values, b.text.Value(screenPath(i)+".id"))
		} else {
			own = append(own, b.screenPart(i))
		}
	}
	stock.Value, stock.ID = "", "screening-questions" // items of the list have its path with their number
	stock.writeTo = func(b *builder, sent []string) error { return b.setStockScreens(sent) }
	add := adder(screeningAt, "A question of your own",
		"Answered with yes or no. Ask only what you need: answers about health are sensitive data.", addScreen)
	add.ID = "add-screening"
	parts := []part{{ID: "screening", Heading: "Asked before the first plate", Lead: []string{
		"A question or two by which people are left out of the findings. Whoever answers so may taste all the " +
			"same; their ratings are kept, not analysed, and the report says how many they were.",
	}, Fields: []buildField{stock, add}, Acts: []buildAct{{"add screening", "Add it", ""}}}}
	return append(parts, own...)
}

// isStockScreen reports whether a question of the file has the program's words.
func (b *builder) isStockScreen(i int) bool {
	_, known := study.StockScreenOf(b.text.Value(screenPath(i) + ".id"))
	return known && !b.text.Has(screenPath(i)+".ask")
}

// screenPart is a question with words of its own.
func (b *builder) screenPart(i int) part {
	path := screenPath(i)
	id := b.text.Value(path + ".id")
	return part{ID: fieldID(path), Heading: b.say("Before the first plate: %s", id), Kind: "item", Fields: []buildField{
		b.line(path+".ask", "The question", "As the assessor reads it, to be answered with yes or no."),
		b.choose(choice, path+".leaves out", "Not counted are those who say", "", "",
			option{Value: string(study.Yes), Label: "yes"}, option{Value: string(study.No), Label: "no"}),
	}, Acts: []buildAct{{"remove " + path, "Remove", id}}}
}

// setStockScreens puts the program's questions that are wanted into the file, and
// takes the others out.
func (b *builder) setStockScreens(wanted []string) error {
	for i := b.text.Len(screeningAt) - 1; i >= 0; i-- {
		id := b.text.Value(screenPath(i) + ".id")
		if !b.isStockScreen(i) {
			continue
		}
		if at := slices.Index(wanted, id); at >= 0 {
			wanted = slices.Delete(slices.Clone(wanted), at, at+1)
			continue
		}
		if err := b.text.Remove(screenPath(i)); err != nil {
			return err
		}
	}
	for _, id := range wanted {
		if err := b.text.Set(screenPath(b.text.Len(screeningAt))+".id", id); err != nil {
			return err
		}
	}
	return nil
}

// addScreen appends a question of the lead's own, which leaves out who says yes.
func addScreen(b *builder, ask string) error {
	path, err := b.add(screeningAt, topic(ask), "ask", ask)
	if err != nil {
		return err
	}
	return b.text.Set(path+".leaves out", string(study.Yes))
}

// translatedScreens are the study's own questions in a language.
func (b *builder) translatedScreens(base, lang string) (list []buildField) {
	for i := range b.text.Len(screeningAt) {
		if id := b.text.Value(screenPath(i) + ".id"); id != "" && !b.isStockScreen(i) {
			f := b.line(base+".screening."+study.PathKey(id),
				b.say("Before the first plate, %s, in %s", id, b.tongueName(lang)), "")
			list = append(list, b.translated(f, b.text.Value(screenPath(i)+".ask"), lang))
		}
	}
	return list
}
