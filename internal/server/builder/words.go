package builder

import (
	"fmt"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
	"cloche/internal/study"
)

// textField is one of the texts that assessors read.
type textField struct {
	key, label, hint string
	rows             int
}

var textFields = []textField{
	{"welcome", "Welcome", "The first line on the phone. May stay empty.", 2},
	{"consent", "Consent", "What people agree to: what they taste and how long it takes; that the list of " +
		"allergens stands above; that they may stop at any moment without a reason; what is kept. Allergens are " +
		"listed by the program. Where your law or your ethics board asks for more, that comes first.", 10},
	{"instructions", "How to taste", "What to do with a serving, and between servings. Say nothing of what is " +
		"compared.", 6},
	{"comment", "Comment after each serving", "The question over an empty box. Leave it empty to ask for none; " +
		"people write what can identify them.", 2},
	{"first compared", "The first sample of the comparison, after the last plate",
		"Only where the last question asks which was which: what tells this one apart, such as “the custard with " +
			"starch”.", 1},
	{"second compared", "The second sample of the comparison, after the last plate", "", 1},
	{"thanks", "Thanks", "When they are done. Ask them not to talk about it yet.", 2},
	{"debrief", "What you tell them afterwards", "After the study is closed, what was compared and why it was not " +
		"said before; and how to delete their answers. Leave it empty only when nothing was held back.", 5},
}

// showWords shows the texts, with a way to each language and how much is open in it.
func showWords(s *handlers, c *gin.Context, status int, b *builder) error {
	page := fields{s.building(c, b)}
	for _, lang := range b.others() {
		open := 0
		for _, x := range b.Problems {
			if below(x.Path, "translations."+lang) && b.owner(x.Path) == b.step.name {
				open++
			}
		}
		text := b.say("%s: nothing open", b.tongueName(lang))
		if open > 0 {
			text = b.say("%s: %d open", b.tongueName(lang), open)
		}
		page.Jumps = append(page.Jumps, remark{"#" + fieldID("translations."+lang+".texts"), text})
	}
	return site.Show(s.Site, c, status, fieldsScreen, page)
}

// wordParts are all texts, and all that has to be in other languages.
func wordParts(b *builder) []part {
	p := part{ID: "texts", Heading: b.say("What assessors read in %s", b.tongueName(b.own())), Lead: []string{
		"Tell people the truth, and as much of it as does not give the question away. What you hold back, you tell " +
			"them afterwards.",
	}}
	for _, x := range textFields {
		f := b.paragraph("texts."+x.key, x.label, x.hint, x.rows)
		f.Lang = b.own()
		p.Fields = append(p.Fields, f)
	}
	parts := []part{p}
	for _, lang := range b.others() {
		parts = append(parts, b.translationParts(lang)...)
	}
	for _, lang := range b.text.Keys("translations") {
		if !slices.Contains(b.others(), lang) {
			parts = append(parts, part{
				ID: fieldID("translations." + lang), Heading: b.say("The words in %s", b.tongueName(lang)),
				Kind: "item",
				Lead: []string{"They stand in the file, and the study is not in this language any more. Choose the " +
					"language again in the step Panel and service, or remove its words."},
				Acts: []buildAct{{"drop " + lang, "Remove the words", b.say("in %s", b.tongueName(lang))}},
			})
		}
	}
	return parts
}

// translationParts are the fields of one language, each beside the words that it
// translates. Names are translated where they are written.
func (b *builder) translationParts(lang string) []part {
	base := "translations." + lang
	texts := part{ID: fieldID(base + ".texts"), Heading: b.say("Texts in %s", b.tongueName(lang))}
	for _, x := range textFields {
		original := b.text.Value("texts." + x.key)
		path := base + ".texts." + x.key
		if original != "" || b.text.Has(path) {
			label := b.say("%s, in %s", b.say(x.label), b.tongueName(lang))
			texts.Fields = append(texts.Fields, b.translated(b.paragraph(path, label, "", x.rows), original, lang))
		}
	}
	asked := part{ID: fieldID(base + ".attributes"), Heading: b.say("Questions in %s", b.tongueName(lang))}
	var ids []study.AttributeID
	for _, a := range b.asked.Attributes {
		if a.ID != "" && !slices.Contains(ids, a.ID) {
			ids = append(ids, a.ID)
			asked.Fields = append(asked.Fields, b.translatedAttribute(base, lang, a)...)
		}
	}
	screening := part{ID: fieldID(base + ".screening"),
		Heading: b.say("Before the first plate, in %s", b.tongueName(lang)), Fields: b.translatedScreens(base, lang)}
	groups := part{ID: fieldID(base + ".strata"), Heading: b.say("Groups of guests, in %s", b.tongueName(lang)),
		Fields: b.translatedStrata(base, lang)}
	contains := part{ID: fieldID(base + ".also contains"), Heading: b.say("Also contains, in %s", b.tongueName(lang))}
	_, notes := b.asked.AllergenUnion()
	for _, n := range notes {
		contains.Fields = append(contains.Fields, b.translated(b.line(base+".also contains."+study.PathKey(n),
			b.say("%s, in %s", sentenceCase(n), b.tongueName(lang)), ""), n, lang))
	}
	parts := []part{texts}
	for _, p := range []part{asked, screening, groups, contains} {
		if len(p.Fields) > 0 {
			parts = append(parts, p)
		}
	}
	return parts
}

// translated puts the original beside a field.
func (b *builder) translated(f buildField, original, lang string) buildField {
	f.Beside, f.Lang = original, lang
	return f
}

func (b *builder) translatedAttribute(base, lang string, a study.Attribute) []buildField {
	path := fmt.Sprintf("%s.attributes.%s", base, study.PathKey(string(a.ID)))
	question := b.line(path+".ask", b.say("%s: the question in %s", a.ID, b.tongueName(lang)), "")
	list := []buildField{b.translated(question, a.Ask, lang)}
	switch a.Scale.Kind {
	case study.Line:
		for i, word := range []string{a.Scale.Low, a.Scale.High} {
			label := b.say([]string{"%s: the word at the low end in %s", "%s: the word at the high end in %s"}[i], a.ID,
				b.tongueName(lang))
			list = append(list, b.translated(b.listItem(path+".line", i, 2, label, ""), word, lang))
		}
	case study.Categories, study.AboutRight:
		f := b.list(path+"."+labelsKey(a.Scale.Kind), b.say("%s: the answers in %s", a.ID, b.tongueName(lang)),
			"One a line, in the same order.")
		list = append(list, b.translated(f, strings.Join(a.Scale.Labels, " · "), lang))
	case study.WordList:
		f := b.list(path+".words", b.say("%s: the words in %s", a.ID, b.tongueName(lang)),
			"One a line, in the same order.")
		list = append(list, b.translated(f, strings.Join(a.Scale.Labels, " · "), lang))
	}
	return list
}

// sentenceCase begins words with a capital.
func sentenceCase(s string) string { return strings.TrimSuffix(site.Sentence(s), ".") }

// dropLanguage takes the words of a language out of the file.
func dropLanguage(b *builder, lang string) (string, error) {
	path := "translations." + lang
	if slices.Contains(b.others(), lang) || !slices.Contains(b.text.Keys("translations"), lang) {
		return "texts", fmt.Errorf("there are no such words to remove")
	}
	return "texts", b.text.Remove(path)
}
