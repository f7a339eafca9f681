package builder

import (
	"slices"

	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// panelParts: who tastes, what each of them gets, and in which languages.
func panelParts(b *builder) []part {
	parts := append([]part{b.whoPart()}, b.screeningParts()...)
	parts = append(append(parts, b.eachPart()), b.strataParts()...)
	return append(parts, b.servicePart(), b.eveningPart(), b.languagePart(), b.rarePart())
}

func (b *builder) whoPart() part {
	return part{ID: "who", Heading: "Who tastes", Fields: []buildField{
		b.number("panel.assessors", "Assessors", "How many people taste, over all sittings. The step Size says how "+
			"many are needed.", ""),
		b.number("panel.sittings", "Sittings", "How many occasions, such as evenings.", "1"),
		b.number("panel.seats", "Seats", "The most people at one sitting. Empty: no limit.", ""),
		b.number("panel.minimum age", "Minimum age, in years", "Needed where a dish contains alcohol. The law of "+
			"the place decides; the phone asks before consent.", ""),
		b.number("panel.withdrawal days", "Days after closing in which answers can be deleted", "Guests read "+
			"until when. Answers deleted in that time make a new version of the findings. 0: only until you "+
			"close.", "7"),
		b.tick("panel.tell result", "Tell guests the result", "After the close, on the link that they have: what was "+
			"found, the names or dishes they had, and their own answers beside everybody’s (an average of five "+
			"people or more). Never before, and not to who deleted their answers."),
		b.lastQuestionField(),
	}}
}

func (b *builder) eachPart() part {
	designs := []option{
		{Value: string(study.All), Label: "All of them", Hint: "everybody is compared with themselves: the " +
			"strongest design, up to about six samples"},
		{Value: string(study.Some), Label: "Some of them", Hint: "for more samples than a palate bears; which ones " +
			"is drawn at random and balanced"},
		{Value: string(study.One), Label: "One each",
			Hint: "nobody compares, as in a meal ordered from a menu; takes far more people for the same difference"},
	}
	p := part{ID: "each", Heading: "What each of them gets"}
	k := b.asked.Question.Kind()
	switch {
	case k.Ascending && !b.text.Has("serving.replicates") && !b.text.Has("serving.design"):
		p.Lead = []string{b.say("One series: a tray of three for each amount, from the least to the most, so %d "+
			"servings of so little that a palate bears them.", 3*b.asked.Trays())}
	case len(k.Designs) == 1 && !b.text.Has("serving.design"):
		p.Fields = []buildField{b.number("serving.replicates", "Times each is asked", b.say(
			"Each time takes %d servings. Once is usual. Twice shows how steady people are.", b.asked.TurnServings()),
			"1")}
	default:
		p.Fields = []buildField{
			b.choose(choice, "serving.design", "Samples to each assessor", "", string(study.All), designs...),
			b.number("serving.per assessor", "How many, if some", "Empty unless you chose some of them.", ""),
			b.number("serving.replicates", "Times each sample is served", "Once is usual. Twice or more shows how "+
				"much of each guest’s answer is noise; the page of sizes says how well.", "1"),
		}
	}
	p.Fields = append(p.Fields, b.number("serving.most per sitting", "Most servings to one person at one sitting",
		"Palates tire: five or six of something rich (common practice, no source). Empty: no limit.", ""))
	return p
}

func (b *builder) servicePart() part {
	p := part{ID: "service", Heading: "At the table", Fields: []buildField{
		b.choose(pick, "serving.warm-up", "Warm-up", "The first bite is rated higher than it deserves. A warm-up "+
			"takes that: the same for all, not analysed, one more portion each.", "", b.sampleOptions("none")...),
		b.measure("serving.rinse", "Pause between servings", "Water and plain bread; 30 to 60 seconds are usual "+
			"(common practice, no source).", "s", "30"),
		b.choose(choice, "serving.codes", "Codes on the plates", "", string(study.CodePerServing),
			option{Value: string(study.CodePerServing), Label: "A fresh code for every plate",
				Hint: "neighbours cannot compare"},
			option{Value: string(study.CodePerSample), Label: "One code for each sample and sitting",
				Hint: "easier to plate; neighbours can compare"},
		),
		b.number("serving.spare codes", "Spare codes for dropped plates", "At each sitting.", "10"),
	}}
	if len(b.asked.Attributes) > 1 || b.text.Has("serving.one question a screen") {
		p.Fields = append(p.Fields, b.tick("serving.one question a screen", "One question a screen", "Phones show the "+
			"questions about a serving one by one. All are sent together, after the last."))
	}
	p.Fields = append(p.Fields, b.trayFields()...)
	return p
}

// trayFields are asked where several servings come at once, or the file answers them.
func (b *builder) trayFields() (fields []buildField) {
	trays := b.asked.TurnServings() > 1
	if trays || b.text.Has("serving.taste once") {
		fields = append(fields, b.tick("serving.taste once", "Each plate of a tray is tasted only once",
			"Not ticked, people may go back and taste again, as is usual (common practice, no source). Their page "+
				"says which."))
	}
	if trays || b.text.Has("serving.tray opens") {
		fields = append(fields, b.choose(pick, "serving.tray opens", "A phone without network opens a tray by",
			"All codes: the phone checks that the whole tray is the right one. The first code: less to type.",
			string(study.ByAllCodes), option{Value: string(study.ByAllCodes), Label: "all codes on its plates"},
			option{Value: string(study.ByFirstCode), Label: "the code of its first plate"}))
	}
	return fields
}

// sampleOptions are the samples to choose from, after an empty one.
func (b *builder) sampleOptions(empty string) []option {
	list := []option{{Label: empty}}
	for _, x := range b.asked.Samples {
		if x.ID != "" {
			list = append(list, option{Value: string(x.ID), Label: summary.SampleWords(b.tongue, b.asked, x.ID),
				Typed: true})
		}
	}
	return list
}

func (b *builder) languagePart() part {
	var options []option
	for _, tag := range study.Spoken {
		options = append(options, option{Value: tag, Label: study.LanguageName(tag)})
	}
	own := b.choose(pick, "languages[0]", "The study’s own language", "The one that you write in.", study.Spoken[0],
		options...)
	own.writeTo = func(b *builder, sent []string) error { return b.setLanguages(sent[0], b.others()) }
	also := b.boxes("languages", "Also in", "Each phone follows its owner’s setting. Everything that assessors "+
		"read has to be written in each: the step Words says what is missing.", options...)
	also.Name, also.ID = "also languages", "also"
	also.Values = slices.Clone(b.others())
	also.Options = slices.DeleteFunc(also.Options, func(o option) bool { return o.Value == b.own() })
	also.writeTo = func(b *builder, sent []string) error {
		first := b.own()
		if list := b.text.List("languages"); len(list) > 0 {
			first = list[0]
		}
		return b.setLanguages(first, sent)
	}
	return part{ID: "tongues", Heading: "Languages", Fields: []buildField{own, also}}
}

// setLanguages writes the list, or nothing when it is English alone.
func (b *builder) setLanguages(own string, others []string) error {
	list := append([]string{own}, slices.DeleteFunc(slices.Clone(others), func(l string) bool { return l == own })...)
	if len(list) == 1 && own == study.Spoken[0] {
		list = nil
	}
	return b.text.SetList("languages", list)
}

// rarePart is what few studies change.
func (b *builder) rarePart() part {
	p := part{ID: "rare", Heading: "Rarely changed", Fields: []buildField{
		b.tick("serving.blind first", "Blind servings come before named ones", "So that no name is known while "+
			"they are tasted."),
		b.tick("serving.keep dishes apart", "Nobody gets one dish under two names at one "+
			"sitting", "Needs as many sittings as the dish has names."),
		b.choose(pick, "serving.fixed reference", "A known reference served first", "Told as what it is, at each "+
			"sitting; not analysed.", "", b.sampleOptions("none")...),
		b.blocksField(),
		b.number("serving.seed", "Seed of the draw", "The lots are drawn from it. Empty: drawn when the study is "+
			"locked, which is the better habit.", ""),
	}}
	if b.text.Has("serving.reference") || b.asked.Question.Kind().Reference {
		p.Fields = append(p.Fields, b.choose(pick, "serving.reference", "Reference of a duo-trio test", "",
			string(study.BalancedReference),
			option{Value: string(study.BalancedReference), Label: "each sample equally often"},
			option{Value: string(study.ConstantReference), Label: "always the first"}))
	}
	if b.text.Has("serving.minimise") {
		p.Fields = slices.DeleteFunc(p.Fields, func(f buildField) bool {
			return f.Path == "serving.blocks" && !b.text.Has("serving.blocks")
		})
	}
	return p
}

// blocksField says what blocks are where a study chooses between them.
func (b *builder) blocksField() buildField {
	usual := study.FixedBlocks
	if b.text.Value("serving.design") == string(study.One) {
		usual = study.RandomBlocks
	}
	return b.choose(pick, "serving.blocks", "Blocks", "The orders of servings are drawn in blocks of a few "+
		"assessors, so that counts stay even whenever the tasting stops. "+
		"Whoever has seen the others of a block can guess the last.", string(usual),
		option{Value: string(study.FixedBlocks), Label: "fixed size: counts differ by 1 at most, orders are easier " +
			"to guess"},
		option{Value: string(study.RandomBlocks), Label: "random size: orders are harder to guess, counts differ " +
			"by 3 at most"})
}
