package builder

// rightAloneMain is what decides in a study of one dish: an answer about right, held against
// one of the attributes that have a mean.
func (b *builder) rightAloneMain(averaged []option) part {
	rights := []option{{Label: "Choose an attribute"}}
	for _, a := range b.asked.AboutRights() {
		if a.ID != "" {
			rights = append(rights, option{Value: string(a.ID), Label: string(a.ID) + ": " + a.Ask, Typed: true})
		}
	}
	return part{ID: "main-comparison", Heading: "What decides", Lead: []string{
		b.say(b.asked.Question.Kind().Asks) + " " + b.say("One answer decides, chosen before anybody "+
			"tastes; what else is asked so is reported too."),
	}, Fields: []buildField{
		b.choose(pick, "analysis.attribute", "Asked as too little, about right or too much", "", "", rights...),
		b.likingField(averaged),
	}}
}
