package builder

// profileMain is what decides in a study that describes its samples.
func (b *builder) profileMain(attributes []option) part {
	return part{ID: "main-comparison", Heading: "What decides", Lead: []string{
		b.say(b.asked.Question.Kind().Asks) + " " + b.say("Every attribute is reported, with every "+
			"pair of samples. One of them is tested first, chosen before anybody tastes: the one that you "+
			"most want an answer on."),
	}, Fields: []buildField{b.choose(pick, "analysis.attribute", "The attribute tested first", "", "", attributes...)}}
}
