package builder

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
	"cloche/internal/study"
)

// attributeStep is the page of what is asked of each serving.
type attributeStep struct {
	building
	Vocabulary []suggestion
	Many       string // how many questions are too many
	TooMany    bool   // the study has more
}

// suggestion is a term of the vocabulary that the study does not have yet.
type suggestion struct{ ID, Word, ISO string }

var attributeScreen = site.DeskScreen[attributeStep]("builder/attributes")

func showAttributes(s *handlers, c *gin.Context, status int, b *builder) error {
	page := attributeStep{building: s.building(c, b), Many: study.MostAttributesWords}
	rates := b.asked.Question.Kind().Attributes == study.SomeRated
	for _, t := range study.Vocabulary {
		if !rates { // their questions ask how much, of one serving
			break
		}
		if _, has := b.asked.Attribute(t.ID); !has {
			page.Vocabulary = append(page.Vocabulary, suggestion{string(t.ID), t.Name, t.ISO})
		}
	}
	if !b.asked.Question.CollectsRatings() {
		page.Many = "" // it asks one thing
	}
	page.TooMany = len(b.asked.Attributes) > study.MostAttributes
	return site.Show(s.Site, c, status, attributeScreen, page)
}

// scaleKinds are the kinds of scale as the page offers them.
var scaleKinds = []option{
	{Value: string(study.Line), Label: "A line between two end words",
		Hint: "for how much there is of something; the finest, and the usual choice"},
	{Value: string(study.Categories), Label: "Labelled answers", Hint: "for what has steps that everybody tells apart"},
	{Value: string(study.AboutRight), Label: "Too little, about right, too much",
		Hint: "asked beside liking: tells what to change, not how much there is; three answers, or five"},
	{Value: string(study.Hedonic9), Label: "Nine answers from dislike to like",
		Hint: "the usual scale for liking (Peryam & Pilgrim 1957)"},
}

// listKind is offered where words are ticked.
var listKind = option{Value: string(study.WordList), Label: "A list of words to tick",
	Hint: "guests tick every word that fits; its order turns from guest to guest and from serving to serving"}

// scalesOffered are the kinds of scale of a question.
func scalesOffered(q study.Question) []option {
	if q.Response() != study.TickWords {
		return scaleKinds
	}
	offered := []option{listKind}
	for _, k := range scaleKinds {
		if k.Value != string(study.AboutRight) { // the rating beside the words is averaged
			offered = append(offered, k)
		}
	}
	return offered
}

func attributeParts(b *builder) []part {
	var parts []part
	n := b.text.Len("attributes")
	for i := range n {
		parts = append(parts, b.attributePart(i, n))
	}
	k := b.asked.Question.Kind()
	if k.Attributes == study.NoAttributes {
		return append([]part{{ID: "attributes", Heading: "Asked of every assessor", Lead: []string{
			"“" + b.asked.TurnAsk() + "”",
			"This kind of test has a question of its own, in every language. There is nothing to add.",
		}}}, parts...)
	}
	if n > 1 && k.Response != study.TickWords || b.text.Has("serving.attributes") {
		parts = append(parts, part{ID: "order", Heading: "In which order they are asked", Fields: []buildField{
			b.choose(choice, "serving.attributes", "Order", "", string(study.FixedOrder),
				option{Value: string(study.FixedOrder), Label: "This order for everybody",
					Hint: "easier where staff read the questions out"},
				option{Value: string(study.RotatedOrder), Label: "Turned from one assessor to the next",
					Hint: "so that each question comes first, and last, equally often; one person keeps one order"},
			),
		}})
	}
	if p, asked := b.numbersPart(n); asked {
		parts = append(parts, p)
	}
	heading, hint := "Write a question of your own", "As the assessor reads it, about one thing alone, as in How "+
		"smoky is "+
		"it? Pick no word that speaks for one of the names."
	if k.Attributes == study.OneNamed {
		if n > 0 {
			return parts
		}
		heading = "The question"
		hint = b.say("As the assessor reads it beside the plates, about one thing alone, as in %s", k.AskAs)
	}
	return append(parts, part{
		ID: "attributes", Heading: heading, Kind: "adder",
		Fields: []buildField{adder("attributes", "Question", hint, addAttribute)},
		Acts:   []buildAct{{"add attributes", "Add it", ""}},
	})
}

// numbersPart asks what a mark on a line shows, where a line is asked for or a file
// has said it.
func (b *builder) numbersPart(n int) (part, bool) {
	const path = "serving.show numbers"
	asked := b.text.Has(path)
	for i := range n {
		asked = asked || b.kindOfScale(fmt.Sprintf("attributes[%d].scale", i)) == string(study.Line)
	}
	return part{ID: "numbers", Heading: "What a mark on a line shows", Fields: []buildField{
		b.tick(path, "Show guests the number of their mark",
			"Whoever sees a number tends to give it again at the next serving. Leave it out unless the number "+
				"itself is wanted."),
	}}, asked
}

func (b *builder) attributePart(i, n int) part {
	path := fmt.Sprintf("attributes[%d]", i)
	id := b.text.Value(path + ".id")
	p := part{
		ID: fieldID(path), Heading: fmt.Sprintf("%d. %s", i+1, id), Kind: "item scale",
		Fields: []buildField{b.line(path+".ask", "The question", "As the assessor reads it.")},
		Acts:   itemActs(path, i, n, id),
	}
	if b.asked.Question.Kind().Attributes != study.SomeRated {
		return p // no scale: answered by choosing a serving
	}
	p.Fields = append(p.Fields, b.scaleKind(path+".scale"))
	scale := path + ".scale"
	p.Fields = append(p.Fields,
		b.listItem(scale+".line", 0, 2, "Word at the low end", "As in not at all salty.").ofKind(scale, study.Line),
		b.listItem(scale+".line", 1, 2, "Word at the high end", "As in extremely salty.").ofKind(scale, study.Line),
		b.number(scale+".from", "Number at the low end", "Assessors see neither end as a number.", "0").ofKind(scale,
			study.Line),
		b.number(scale+".to", "Number at the high end", "", "100").ofKind(scale, study.Line),
		b.list(scale+".categories", "The answers", "One a line, from the least to the most; 2 to 15.").ofKind(scale,
			study.Categories),
		b.list(scale+".about right", "The answers", "One a line, from too little to too much, about right in the "+
			"middle; "+
			"3 or 5.").ofKind(scale, study.AboutRight),
	)
	if b.asked.Question.Response() == study.TickWords {
		p.Fields = append(p.Fields, b.list(scale+".words", "The words", "One a line, 2 to 25, as guests would say "+
			"them. "+
			"Leave out what nobody could taste, and words that stand for a whole dish.").ofKind(scale, study.WordList))
	}
	return p
}

// ofKind is a field that belongs to one kind of scale: it is shown with it, and
// written when that is the kind chosen, or when none is.
func (f buildField) ofKind(scale string, kind study.ScaleKind) buildField {
	before := f
	f.For = "for-" + string(kind)
	f.writeTo = func(b *builder, sent []string) error {
		if now := b.kindOfScale(scale); now != "" && now != string(kind) {
			return nil
		}
		return before.set(b, sent)
	}
	return f
}

// listItem is a field of one value of a list of n.
func (b *builder) listItem(path string, i, n int, label, hint string) buildField {
	f := b.line(fmt.Sprintf("%s[%d]", path, i), label, hint)
	f.writeTo = func(b *builder, sent []string) error { return b.setItem(path, i, n, sent[0]) }
	return f
}

// setItem sets one value of a list of n; a list of nothing is removed.
func (b *builder) setItem(path string, i, n int, value string) error {
	list := b.text.List(path)
	for len(list) < n {
		list = append(list, "")
	}
	list[i] = value
	for _, v := range list {
		if v != "" {
			return b.text.SetList(path, list)
		}
	}
	return b.text.SetList(path, nil)
}

// kindOfScale is the kind that stands in the text, "" for none.
func (b *builder) kindOfScale(path string) string {
	switch {
	case b.text.Value(path) != "":
		return b.text.Value(path)
	case b.text.Has(path + ".categories"):
		return string(study.Categories)
	case b.text.Has(path + ".about right"):
		return string(study.AboutRight)
	case b.text.Has(path + ".words"):
		return string(study.WordList)
	case b.text.Has(path + ".line"):
		return string(study.Line)
	}
	return ""
}

// labelsKey is the key of the labels of a scale in a file.
func labelsKey(kind study.ScaleKind) string {
	if kind == study.AboutRight {
		return "about right"
	}
	return string(study.Categories)
}

// scaleKind is the field that changes the kind of a scale.
func (b *builder) scaleKind(path string) buildField {
	f := buildField{Path: path, Name: path, ID: fieldID(path), Label: "How it is answered", Kind: choice,
		Value: b.kindOfScale(path), Options: scalesOffered(b.asked.Question)}
	f.writeTo = func(b *builder, sent []string) error { return b.setScale(path, sent[0]) }
	return f
}

// setScale puts a scale of another kind in place of the one before; the words of
// the old one go, in every language.
func (b *builder) setScale(path, kind string) error {
	if err := b.dropScale(path); err != nil {
		return err
	}
	switch study.ScaleKind(kind) {
	case study.Line:
		return b.text.SetList(path+".line", []string{"not at all", "extremely"})
	case study.Categories:
		return b.text.SetList(path+".categories", []string{"none", "a little", "some", "much"})
	case study.AboutRight:
		return b.text.SetList(path+".about right", []string{"too little", "about right", "too much"})
	}
	if study.ScaleKind(kind) == study.WordList {
		return b.text.SetList(path+".words", []string{"smooth", "grainy", "salty", "sweet"})
	}
	return b.text.Set(path, kind)
}

func (b *builder) dropScale(path string) error {
	if err := b.text.Remove(path); err != nil {
		return err
	}
	id := study.PathKey(b.text.Value(strings.TrimSuffix(path, "scale") + "id"))
	for _, lang := range b.text.Keys("translations") {
		for _, key := range []string{".line", ".categories", ".about right", ".words"} {
			if err := b.text.Remove("translations." + lang + ".attributes." + id + key); err != nil {
				return err
			}
		}
	}
	return nil
}

// addAttribute appends a question of the lead's own, on a line.
func addAttribute(b *builder, ask string) error {
	path, err := b.add("attributes", topic(ask), "ask", ask)
	if err != nil || b.asked.Question.Kind().Attributes != study.SomeRated {
		return err
	}
	return b.text.SetList(path+".scale.line", []string{"not at all", "extremely"})
}

// asking words begin a question and name nothing.
var askingWords = regexp.MustCompile(`(?i)^(how|what|which|is|are|do|does|much|many|strong|strongly|` +
	`of|it|you|the|a|an|in|to|like|for)$`)

// topic is the word of a question that names what is asked about.
func topic(ask string) string {
	for _, w := range strings.FieldsFunc(ask, func(r rune) bool { return !unicode.IsLetter(r) }) {
		if !askingWords.MatchString(w) {
			return w
		}
	}
	return ""
}

// pickAttribute appends a term of the vocabulary, in every language of the study.
func pickAttribute(b *builder, id string) (string, error) {
	i := slices.IndexFunc(study.Vocabulary, func(t study.Term) bool { return string(t.ID) == id })
	if _, has := b.asked.Attribute(study.AttributeID(id)); i < 0 || has {
		return "attributes", nil // a double tap
	}
	term := study.Vocabulary[i]
	a := term.In(b.own())
	path, err := b.add("attributes", id, "ask", a.Ask)
	if err != nil || b.asked.Question.Kind().Attributes != study.SomeRated {
		return path, err
	}
	if err := b.setTerm(path+".scale", a.Scale); err != nil {
		return "", err
	}
	key := study.PathKey(b.text.Value(path + ".id"))
	for _, lang := range b.others() {
		if err := b.translateTerm("translations."+lang+".attributes."+key, term.In(lang)); err != nil {
			return "", err
		}
	}
	return path, nil
}

func (b *builder) setTerm(scale string, s study.Scale) error {
	if s.Kind == study.Line {
		return b.text.SetList(scale+".line", []string{s.Low, s.High})
	}
	return b.text.Set(scale, string(s.Kind))
}

func (b *builder) translateTerm(path string, a study.Attribute) error {
	if err := b.text.Set(path+".ask", a.Ask); err != nil || a.Scale.Kind != study.Line {
		return err
	}
	return b.text.SetList(path+".line", []string{a.Scale.Low, a.Scale.High})
}
