package builder

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/design"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
	"cloche/internal/words"
)

// nameStep is the page of names and samples.
type nameStep struct {
	building
	Previews []preview
	Ordered  bool     // a person gets several
	Remarks  []remark // on names that differ in more than words, or promise too much
}

// preview is a sample as the room meets it.
type preview struct {
	Sample, Dish string
	Tasters      []tasterLine
	Name         string // what floor says; "" for a blind serving
}

// tasterLine is what an assessor reads in a language.
type tasterLine struct{ Lang, Language, Serving, Name, Check string }

var nameScreen = site.DeskScreen[nameStep]("builder/names")

func showNames(s *handlers, c *gin.Context, status int, b *builder) error {
	each := eachRates(b.asked)
	page := nameStep{building: s.building(c, b), Previews: previews(b.asked, each), Ordered: each > 1}
	for _, r := range study.NameRemarks(b.asked) {
		if f := nearestField(page.Parts, r.Path); f != nil {
			f.Remarks = append(f.Remarks, b.remarkWords(r))
			page.Remarks = append(page.Remarks, remark{"#" + f.ID, b.remarkWords(r)})
		}
	}
	return site.Show(s.Site, c, status, nameScreen, page)
}

// exampleCode stands where a blinding code will stand.
const exampleCode = "407"

// eachRates is how many servings a person answers on: as many as there are samples where the
// study is not far enough to tell.
func eachRates(a *study.Study) int {
	if l, err := design.Weight(a); err == nil {
		return l.Rated
	}
	return len(a.Samples)
}

// previews are the samples as tasters and floor will meet them; each person gets so many.
func previews(a *study.Study, each int) []preview {
	var list []preview
	for _, x := range a.Samples {
		d, _ := a.Dish(x.Dish)
		p := preview{Sample: string(x.ID), Dish: d.Title, Name: a.NameText(x.ID)}
		for _, lang := range a.Languages {
			w, in := words.In(lang), a.In(lang)
			p.Tasters = append(p.Tasters, tasterLine{
				Lang: lang, Language: words.Name(lang), Serving: fmt.Sprintf(w.ServingOf, 1, each),
				Name: in.NameText(x.ID), Check: fmt.Sprintf(w.CheckPlate, exampleCode),
			})
		}
		list = append(list, p)
	}
	return list
}

func nameParts(b *builder) []part {
	var parts []part
	var ids []string
	n := b.text.Len("names")
	for i := range n {
		path := fmt.Sprintf("names[%d]", i)
		id, text := b.text.Value(path+".id"), b.text.Value(path+".text")
		p := part{
			ID: fieldID(path), Heading: b.say("Name %d", i+1), Kind: "item",
			Fields: []buildField{b.line(path+".text", b.say("The name in %s", b.tongueName(b.own())),
				"Exactly as the taster reads it and as floor says it.")},
			Acts: itemActs(path, i, n, text),
		}
		p.Fields[0].Lang = b.own()
		for _, lang := range b.others() {
			if slices.Contains(ids, id) || id == "" {
				break // two names of one id are a mistake, and one translation
			}
			f := b.line("translations."+lang+".names."+study.PathKey(id), b.say("The name in %s", b.tongueName(lang)),
				"It has to promise neither more nor less than the name that stands above the field.")
			f.Beside, f.Lang = text, lang
			p.Fields = append(p.Fields, f)
		}
		ids = append(ids, id)
		parts = append(parts, p)
	}
	add := part{
		ID: "names", Heading: "Add a name", Kind: "adder",
		Lead: []string{"Keep the names alike in all but what you ask about: the same length, no price, no origin " +
			"that only one of them boasts of. Every name has to be one that could stand on the menu by law. A " +
			"study without names is served blind."},
		Fields: []buildField{adder("names", "Another name", "Exactly as the taster reads it, as in celeriac "+
			"royale.", addName)},
		Acts: []buildAct{{"add names", "Add it", ""}},
	}
	if n == 0 && b.asked.Question.Kind().Samples > 0 { // a name has no use
		return append(b.servedParts(), b.strayParts()...)
	}
	if n == 0 && !b.asked.Question.Kind().NamesMatter { // names are not what it is about
		parts = append(append(parts, b.servedParts()...), add)
	} else {
		parts = append(append(parts, add), b.servedParts()...)
	}
	return append(parts, b.strayParts()...)
}

// servedParts are, for each dish, under which names it is served.
func (b *builder) servedParts() []part {
	p := part{ID: "samples", Heading: "Which dish is served under which name", Lead: []string{
		"A dish under a name is a sample: the thing compared. Each gets its letter from the program, and at the " +
			"table a three-digit code that gives nothing away.",
	}}
	var ids []string
	for i := range b.text.Len("dishes") {
		path := fmt.Sprintf("dishes[%d]", i)
		id := b.text.Value(path + ".id")
		if id != "" && !slices.Contains(ids, id) { // two dishes of one id are a mistake of the dishes
			p.Fields = append(p.Fields, b.served(path, id))
		}
		ids = append(ids, id)
	}
	if len(p.Fields) == 0 {
		p.Notes = []summary.Caution{{Heading: "No dish yet", Text: []string{"Add one in the step before, then " +
			"choose here under which names it is served."}}}
	}
	return []part{p}
}

// blindBox is the box of a dish that is served without a name; no id of a name
// can be like it.
const blindBox = "blind sample"

func (b *builder) served(path, dish string) buildField {
	title := cmp.Or(strings.TrimSpace(b.text.Value(path+".title")), dish)
	f := buildField{Path: path, Name: "served " + dish, ID: fieldID("served " + dish), Label: title, Typed: true,
		Kind: ticks}
	for i := range b.text.Len("names") {
		p := fmt.Sprintf("names[%d]", i)
		f.Options = append(f.Options,
			option{Value: b.text.Value(p + ".id"), Label: b.say("as “%s”", b.text.Value(p+".text"))})
	}
	f.Options = append(f.Options, option{Value: blindBox, Label: "blind, without a name"})
	for i := range b.text.Len("samples") {
		if d, name := b.sample(i); d == dish && !slices.Contains(f.Values, name) {
			f.Values = append(f.Values, name)
		}
	}
	f.writeTo = func(b *builder, sent []string) error { return b.serve(dish, f.shownList(), sent) }
	return f
}

// sample is the dish of a sample and its box.
func (b *builder) sample(i int) (dish, box string) {
	path := fmt.Sprintf("samples[%d]", i)
	box = b.text.Value(path + ".name")
	if box == "" {
		box = blindBox
	}
	return b.text.Value(path + ".dish"), box
}

// serve makes the samples of a dish those whose boxes are ticked.
func (b *builder) serve(dish string, before, boxes []string) error {
	for i := b.text.Len("samples") - 1; i >= 0; i-- {
		d, box := b.sample(i)
		if d != dish || slices.Contains(boxes, box) || !slices.Contains(before, box) {
			continue
		}
		if err := b.text.Remove(fmt.Sprintf("samples[%d]", i)); err != nil {
			return err
		}
	}
	for _, box := range boxes {
		if slices.Contains(before, box) {
			continue
		}
		name := box
		if box == blindBox {
			name = ""
		}
		if err := b.addSample(dish, name); err != nil {
			return err
		}
	}
	return nil
}

// strayParts are the samples that have a mistake which no box shows.
func (b *builder) strayParts() []part {
	var parts []part
	for i := range b.text.Len("samples") {
		path := fmt.Sprintf("samples[%d]", i)
		if !slices.ContainsFunc(b.Problems, func(x study.Problem) bool {
			return x.Path == path || below(x.Path, path)
		}) {
			continue
		}
		p := part{ID: fieldID(path), Heading: b.say("Sample %s", b.text.Value(path+".id")), Kind: "item",
			Acts: []buildAct{{"remove " + path, "Remove", b.say("sample %s", b.text.Value(path+".id"))}}}
		for _, x := range b.Problems {
			if x.Path == path || below(x.Path, path) {
				p.Lead = append(p.Lead, b.says(x))
			}
		}
		parts = append(parts, p)
	}
	return parts
}

// addName appends a name, and a sample of every dish under it.
func addName(b *builder, text string) error {
	path, err := b.add("names", text, "text", text)
	if err != nil {
		return err
	}
	for i := range b.text.Len("dishes") {
		if err := b.addSample(b.text.Value(fmt.Sprintf("dishes[%d].id", i)), b.text.Value(path+".id")); err != nil {
			return err
		}
	}
	return nil
}

// translatedName is the path of a name in another language: it is written where
// the name is.
var translatedName = regexp.MustCompile(`^translations\.[^.\[]+\.names(\.|$)`)

// own is the study's own language; others are those that it is translated into.
func (b *builder) own() string { return b.asked.Languages[0] }

func (b *builder) others() []string {
	var list []string
	for _, lang := range b.asked.Languages[1:] {
		if lang != b.own() && !slices.Contains(list, lang) { // twice is a mistake, and one field
			list = append(list, lang)
		}
	}
	return list
}

// remarkWords is a remark on a name as a sentence.
func (b *builder) remarkWords(r study.Remark) string { return site.Sentence(b.tongue.Tell(r.Text)) }

// tongueName is the name of a language, as the page says it.
func (b *builder) tongueName(lang string) string { return b.say(study.LanguageName(lang)) }
