package builder

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"cloche/internal/study"
)

// one is the single part of a screen of quick start.
func one(fields ...buildField) []part { return []part{{Fields: fields}} }

// mostQuick is how many names or dishes quick start asks for.
const mostQuick = 4

// quickNames asks for the names; the third and fourth may stay empty.
func quickNames(b *builder) []part {
	var fields []buildField
	for i := range max(3, b.text.Len("names")) {
		label := b.say("Name %d", i+1)
		if i > 1 {
			label = b.say("Name %d (optional)", i+1)
		}
		f := b.line(fmt.Sprintf("names[%d].text", i), label, "")
		f.Lang = b.own()
		if i == 0 {
			f.Hint = "Word for word as on the menu."
		}
		f.writeTo = func(b *builder, sent []string) error {
			return b.setItemText("names", "text", i, sent[0], addName)
		}
		fields = append(fields, f)
	}
	return one(fields...)
}

// quickDishes asks for the dishes.
func quickDishes(b *builder) []part {
	n := max(2, b.text.Len("dishes"))
	if b.rates() {
		n = max(n, mostQuick)
	}
	var fields []buildField
	for i := range n {
		label := b.say("Dish %d", i+1)
		if i > 1 {
			label = b.say("Dish %d (optional)", i+1)
		}
		f := b.line(fmt.Sprintf("dishes[%d].title", i), label, "")
		f.writeTo = func(b *builder, sent []string) error {
			return b.setItemText("dishes", "title", i, sent[0], addDish)
		}
		fields = append(fields, f)
	}
	return one(fields...)
}

// setItemText writes the words of an item of a list: of a new one, of one that is there, or
// of one that goes because nothing is left of it and two others are enough.
func (b *builder) setItemText(list, key string, i int, words string, add func(*builder, string) error) error {
	switch n := b.text.Len(list); {
	case i >= n && words == "":
		return nil
	case i >= n:
		return add(b, words)
	case words == "" && i > 1:
		return b.dropItem(list, i)
	}
	return b.text.Set(fmt.Sprintf("%s[%d].%s", list, i, key), words)
}

// dropItem takes out a dish or a name with its samples and its words.
func (b *builder) dropItem(list string, i int) error {
	path := fmt.Sprintf("%s[%d]", list, i)
	id := b.text.Value(path + ".id")
	if err := b.text.Remove(path); err != nil {
		return err
	}
	if err := b.removeSamples(map[string]string{"dishes": "dish", "names": "name"}[list], id); err != nil {
		return err
	}
	return b.removeWords(list, id)
}

// quickPlate asks what is plated: its name in the kitchen where one dish is served under
// several, the portion and the temperature, which are the same for all.
func quickPlate(b *builder) []part {
	var fields []buildField
	if b.comparesNames() {
		f := b.line("dishes[0].title", "The dish", "Guests never see this.")
		f.writeTo = func(b *builder, sent []string) error {
			return b.onEveryDish("title", func(path string) error { return b.text.Set(path, sent[0]) })
		}
		fields = append(fields, f)
	}
	portion := b.line("dishes[0].portion", "Portion", "As in 60 g.")
	portion.writeTo = func(b *builder, sent []string) error {
		return b.onEveryDish("portion", func(path string) error { return b.text.Set(path, sent[0]) })
	}
	warm := b.measure("dishes[0].serve at", "Served at", "The same for all.", "°C", "")
	first := ofADish(warm)
	warm.writeTo = func(b *builder, sent []string) error {
		if err := first.set(b, sent); err != nil {
			return err
		}
		typed := b.text.Value("dishes[0].serve at")
		return b.onEveryDish("serve at", func(path string) error { return b.text.Set(path, typed) })
	}
	return one(append(fields, portion, warm)...)
}

// onEveryDish does something to a value of every dish; a study of names gets its dish here.
func (b *builder) onEveryDish(key string, do func(path string) error) error {
	if b.text.Len("dishes") == 0 {
		if err := addDish(b, ""); err != nil {
			return err
		}
	}
	for i := range b.text.Len("dishes") {
		if err := do(fmt.Sprintf("dishes[%d].%s", i, key)); err != nil {
			return err
		}
	}
	return nil
}

// ofADish is a field of a dish that may not be there yet.
func ofADish(f buildField) buildField {
	before := f
	f.writeTo = func(b *builder, sent []string) error {
		if err := b.onEveryDish("id", func(string) error { return nil }); err != nil {
			return err
		}
		return before.set(b, sent)
	}
	return f
}

// quickContains asks of each dish what people may have to avoid.
func quickContains(b *builder) (parts []part) {
	n := max(1, b.text.Len("dishes"))
	for i := range n {
		path := fmt.Sprintf("dishes[%d]", i)
		boxes := b.allergens(path + ".allergens")
		boxes.Hint, boxes.Unseen = "", true
		for k := range boxes.Options {
			o := &boxes.Options[k]
			if o.Hint = ""; o.Value != none { // in a word; the page of all answers says it in full
				o.Label = b.say(sentenceCase(strings.ReplaceAll(o.Value, "-", " ")))
			}
		}
		boxes = ofADish(boxes)
		also := ofADish(b.alsoContains(path + ".also contains"))
		also.Label, also.Hint, also.Rows = "Anything else, one a line (optional)", "", 2
		p := part{Fields: []buildField{boxes, also, ofADish(b.tick(path+".alcohol", "Contains alcohol", ""))}}
		if n > 1 {
			p.Heading = cmp.Or(strings.TrimSpace(b.text.Value(path+".title")), b.say("Dish %d", i+1))
			p.Typed = true
		}
		parts = append(parts, p)
	}
	return parts
}

// quickAge asks from which age people may taste what contains alcohol.
func quickAge(b *builder) []part {
	return one(b.number("panel.minimum age", "Minimum age, in years",
		"The law of the place decides. Small pours, water and food; nobody drives.", ""))
}

// ownQuestion is the answer of whoever writes a question of their own.
const ownQuestion = "own words"

// quickFirst asks which attribute decides.
func quickFirst(b *builder) []part {
	decides := b.text.Value("analysis.attribute")
	f := buildField{Path: "analysis.attribute", Name: "decides", ID: "decides", Label: "Ask about", Kind: choice}
	own := buildField{Name: "own", ID: "own", Label: "Your own question (optional)", Kind: oneLine}
	f.Options = append(b.terms(decides), option{Value: ownQuestion, Label: "Something else"})
	f.Value, f.Unseen = decides, true
	if i := b.attributeAt(decides); decides != "" && !isTerm(decides) && i >= 0 {
		f.Value, own.Value = ownQuestion, b.text.Value(fmt.Sprintf("attributes[%d].ask", i))
	}
	f.Many = true
	f.writeTo = func(b *builder, sent []string) error { return b.decideOn(sent[0]) }
	own.Lang = b.langOfText(own.Value)
	own.writeTo = func(b *builder, sent []string) error { return b.decideOnWords(sent[0]) }
	return one(f, own)
}

// quickTerms are the terms of the vocabulary that quick start offers: what kitchens ask most
// (common practice, no source). The builder has all.
var quickTerms = []string{"liking", "saltiness", "sweetness", "sourness", "bitterness", "umami", "creaminess",
	"smoothness", "thickness", "crispness", "richness", "aroma", "flavour", "aftertaste"}

// terms are those offered, with those that the study has already.
func (b *builder) terms(decides string) (list []option) {
	for _, t := range study.Vocabulary {
		id := string(t.ID)
		if slices.Contains(quickTerms, id) || id == decides || b.attributeAt(id) >= 0 {
			list = append(list, option{Value: id, Label: t.Name})
		}
	}
	return list
}

func isTerm(id string) bool {
	return slices.ContainsFunc(study.Vocabulary, func(t study.Term) bool { return string(t.ID) == id })
}

// attributeAt is the place of an attribute in the text, -1 for none.
func (b *builder) attributeAt(id string) int {
	for i := range b.text.Len("attributes") {
		if b.text.Value(fmt.Sprintf("attributes[%d].id", i)) == id {
			return i
		}
	}
	return -1
}

// decideOn makes a term of the vocabulary the one that decides, in the place of the one
// before. The smallest change was in points of that one's scale, and goes too.
func (b *builder) decideOn(id string) error {
	if id == ownQuestion { // the words beside it say which
		if b.sent.Get("own") == "" {
			return errors.New("write your own question, or choose one from the list")
		}
		return nil
	}
	if err := b.undecide(); err != nil || id == "" {
		return err
	}
	if b.attributeAt(id) < 0 {
		if _, err := pickAttribute(b, id); err != nil {
			return err
		}
	}
	return b.putFirst(id)
}

// decideOnWords does the same with a question of the lead's own.
func (b *builder) decideOnWords(ask string) error {
	switch chosen := b.sent.Get("decides"); {
	case ask == "":
		return nil // another was chosen, and has taken its place
	case chosen != "" && chosen != ownQuestion:
		return errors.New("you chose one from the list and wrote your own: choose “Something else”, or empty this")
	}
	if id := b.text.Value("analysis.attribute"); id != "" && !isTerm(id) {
		return b.text.Set(fmt.Sprintf("attributes[%d].ask", max(b.attributeAt(id), 0)), ask)
	}
	if err := b.undecide(); err != nil {
		return err
	}
	if err := addAttribute(b, ask); err != nil {
		return err
	}
	return b.putFirst(b.text.Value(fmt.Sprintf("attributes[%d].id", b.text.Len("attributes")-1)))
}

// undecide takes out the attribute that decided, with what was said of its scale.
func (b *builder) undecide() error {
	if err := b.text.Remove("analysis.smallest effect"); err != nil {
		return err
	}
	if i := b.attributeAt(b.text.Value("analysis.attribute")); i >= 0 {
		if err := b.dropAttribute(i); err != nil {
			return err
		}
	}
	return b.text.Remove("analysis.attribute")
}

func (b *builder) putFirst(id string) error {
	if i := b.attributeAt(id); i > 0 {
		if err := b.text.Move(fmt.Sprintf("attributes[%d]", i), 0); err != nil {
			return err
		}
	}
	return b.text.Set("analysis.attribute", id)
}

func (b *builder) dropAttribute(i int) error {
	path := fmt.Sprintf("attributes[%d]", i)
	id := b.text.Value(path + ".id")
	if err := b.text.Remove(path); err != nil {
		return err
	}
	return b.removeWords("attributes", id)
}

// quickAlso asks what else is asked.
func quickAlso(b *builder) []part {
	decides := b.text.Value("analysis.attribute")
	f := buildField{Name: "also", ID: "also", Label: "Ask about (optional)", Kind: ticks}
	f.Unseen = true
	f.Options = slices.DeleteFunc(b.terms(""), func(o option) bool { return o.Value == decides })
	for i := range b.text.Len("attributes") {
		id := b.text.Value(fmt.Sprintf("attributes[%d].id", i))
		if id == decides || id == "" {
			continue
		}
		f.Values = append(f.Values, id)
		if !isTerm(id) {
			f.Options = append(f.Options, option{Value: id, Typed: true,
				Label: b.text.Value(fmt.Sprintf("attributes[%d].ask", i))})
		}
	}
	before := f.shownList()
	f.writeTo = func(b *builder, sent []string) error { return b.askAlso(before, sent) }
	return one(f)
}

// askAlso adds and takes out what was ticked and unticked.
func (b *builder) askAlso(before, sent []string) error {
	for _, id := range before {
		if i := b.attributeAt(id); i >= 0 && !slices.Contains(sent, id) {
			if err := b.dropAttribute(i); err != nil {
				return err
			}
		}
	}
	for _, id := range sent {
		if slices.Contains(before, id) {
			continue
		}
		if _, err := pickAttribute(b, id); err != nil {
			return err
		}
	}
	return nil
}

// quickGuests asks how many taste and on which evening, the last day of tasting.
func quickGuests(b *builder) []part {
	day := b.line("analysis.stop by", "The evening (optional)", "The last day for tasting.")
	if _, err := time.Parse(time.DateOnly, day.Value); err == nil || day.Value == "" {
		day.Type = "date"
	}
	if day.Type == "" {
		day.Hint = b.say(day.Hint) + " " + b.say("Year, month, day, as in 2026-12-05.")
	}
	return one(b.number("panel.assessors", "Guests", "", ""), day)
}

// follow does what follows from the answers of a screen: the study's title, unless somebody
// wrote one, and the comparison that decides. called is the title that followed from the
// answers before, samples how many there were.
func (b *builder) follow(called string, samples int) error {
	if t := b.text.Value("title"); t == "" || t == called {
		if err := b.text.Set("title", b.quickTitle()); err != nil {
			return err
		}
	}
	n := b.text.Len("samples")
	if !b.rates() || n < 2 || n == samples && b.text.Has("analysis.compare") {
		return nil
	}
	if err := b.text.Remove("analysis.compare"); err != nil {
		return err
	}
	if n > 2 {
		if err := b.text.Set("analysis.compare", "all"); err != nil {
			return err
		}
		return b.text.Set("analysis.test", string(study.MixedF))
	}
	if err := b.text.Set("analysis.test", string(study.PairedT)); err != nil {
		return err
	}
	return b.text.SetList("analysis.compare", []string{b.text.Value("samples[0].id"), b.text.Value("samples[1].id")})
}

// quickTitle is the question as the answers put it; "" before there are two.
func (b *builder) quickTitle() string {
	list, key, quote := "dishes", "title", "%s"
	if b.comparesNames() {
		list, key, quote = "names", "text", "“%s”"
	}
	var said []string
	for i := range b.text.Len(list) {
		if v := strings.TrimSpace(b.text.Value(fmt.Sprintf("%s[%d].%s", list, i, key))); v != "" {
			said = append(said, fmt.Sprintf(quote, v))
		}
	}
	if len(said) < 2 {
		return ""
	}
	all := b.say("%s or %s", strings.Join(said[:len(said)-1], ", "), said[len(said)-1])
	switch {
	case b.comparesNames():
		return b.say("Does it taste different as %s?", all)
	case b.rates():
		return b.say("Do they taste different: %s?", all)
	}
	return b.say("Which do they like better: %s?", all)
}
