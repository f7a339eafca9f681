package builder

import (
	"fmt"
	"strings"

	"cloche/internal/study"
)

// strataAt is where the groups of guests stand in a study file.
const strataAt = "serving.strata"

func stratumPath(i int) string { return fmt.Sprintf("%s[%d]", strataAt, i) }

// strataParts: within which groups of guests the samples are kept even, where each gets
// one; nothing where each gets more.
func (b *builder) strataParts() []part {
	minimises := b.text.Has("serving.minimise")
	if b.text.Value("serving.design") != string(study.One) && b.text.Len(strataAt) == 0 && !minimises {
		return nil
	}
	ask := adder(strataAt, "A question to guests", "Such as: Have you eaten with us before? Asked before they agree, "+
		"on the phone or by the floor. Ask only what you need.",
		func(b *builder, words string) error { return addStratum(b, words, words) })
	staff := adder(strataAt, "Or something that the staff know, in a word",
		"Such as: room. There is a card for the tables of each, and the floor says it of guests without a phone.",
		func(b *builder, words string) error { return addStratum(b, words, "") })
	staff.Name, staff.ID = "add staff "+strataAt, "add-staff-"+strataAt
	p := part{ID: "groups", Heading: "Groups of guests that are kept even", Lead: []string{
		"Where each person tastes one sample, chance can give one sample to more regular guests, or to more of one " +
			"room. " +
			"Name what may matter, one or two things: which sample each gets is then dealt when they arrive, " +
			"so that every group gets each sample about equally often.",
		"In the plan these are strata. Leave it empty, and samples are dealt to all alike.",
	}, Fields: []buildField{ask, staff}, Acts: []buildAct{{"add groups", "Add it", ""}}}
	if b.text.Len(strataAt) > 0 || minimises {
		p.Fields = append(p.Fields, b.tick("serving.minimise", "Balance each by itself, by minimisation",
			"For several groupings, or few people: each newcomer gets, 4 times in 5, the sample that keeps every "+
				"level most even. Without it, samples are dealt in blocks within each combination."))
	}
	parts := []part{p}
	for i := range b.text.Len(strataAt) {
		parts = append(parts, b.stratumPart(i))
	}
	return parts
}

func (b *builder) stratumPart(i int) part {
	path := stratumPath(i)
	id := b.text.Value(path + ".id")
	return part{ID: fieldID(path), Heading: b.say("Kept even within: %s", id), Kind: "item", Fields: []buildField{
		b.line(path+".ask", "The question to guests", "As they read it. Empty: the staff know the answer."),
		b.list(path+".levels", "The answers to choose from", "One a line."),
		b.line(path+".id", "In a word", "For the plan and the data; what the staff read, where they know the answer."),
	}, Acts: []buildAct{{"remove " + path, "Remove", id}}}
}

// addStratum appends what groups guests, by a question to them or by a word of the staff's.
func addStratum(b *builder, words, ask string) error {
	if ask == "" {
		_, err := b.add(strataAt, words)
		return err
	}
	_, err := b.add(strataAt, "guest", "ask", ask)
	return err
}

// translatedStrata are the questions to guests in a language, with their answers.
func (b *builder) translatedStrata(base, lang string) (list []buildField) {
	for i := range b.text.Len(strataAt) {
		path := stratumPath(i)
		id, ask := b.text.Value(path+".id"), b.text.Value(path+".ask")
		if id == "" || ask == "" {
			continue
		}
		to := base + ".strata." + study.PathKey(id)
		question := b.line(to+".ask", b.say("%s: the question in %s", id, b.tongueName(lang)), "")
		list = append(list, b.translated(question, ask, lang))
		levels := b.list(to+".levels", b.say("%s: the answers in %s", id, b.tongueName(lang)),
			"One a line, in the same order.")
		list = append(list, b.translated(levels, strings.Join(b.text.List(path+".levels"), " · "), lang))
	}
	return list
}
